"""The hour that is promised for a car that a plan has ready."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from jobs.opening.hours import Hours, Opening
from jobs.plan.promise import moved_along, promise_after, rounded_up

ZONE = ZoneInfo("America/Chicago")
OPENING = Opening(
    opens_at=time(8),
    closes_at=time(18),
    other={5: Hours(opens_at=time(8), closes_at=time(13)), 6: None},
    holidays={date(2026, 12, 25): "Christmas"},
)


def at(text: str) -> datetime:
    return datetime.strptime(text, "%Y-%m-%d %H:%M").replace(tzinfo=ZONE)


# Half of a day of ten hours is five; noon, or an hour before closing. Common practice,
# no published source.
@pytest.mark.parametrize(
    ("ready", "promised"),
    [
        ("2026-12-02 09:00", "2026-12-02 17:00"),
        ("2026-12-02 15:30", "2026-12-03 12:00"),
        ("2026-12-02 08:00", "2026-12-02 17:00"),
        # A Friday afternoon: the rest of the five hours is Saturday's.
        ("2026-12-04 15:30", "2026-12-05 12:00"),
        # Over the short Saturday into Monday.
        ("2026-12-05 12:30", "2026-12-07 17:00"),
        # The day after is a holiday, then Saturday.
        ("2026-12-24 16:00", "2026-12-26 12:00"),
    ],
)
def test_a_promise_is_half_a_day_later_at_noon_or_late_in_the_afternoon(
    ready, promised
):
    assert promise_after(at(ready), opening=OPENING) == at(promised)


@given(st.integers(0, 60 * 24 * 60))
def test_a_promise_is_never_before_the_car_is_ready_nor_on_a_closed_day(minutes):
    ready = at("2026-12-01 08:00") + timedelta(minutes=minutes)
    promised = promise_after(ready, opening=OPENING)
    hours = OPENING.hours_on(promised.date())
    assert promised >= ready
    assert hours
    assert hours.opens_at <= promised.time() <= hours.closes_at


def test_a_shop_that_opens_in_the_afternoon_has_one_hour_to_say():
    late = Opening(opens_at=time(13), closes_at=time(20))
    assert rounded_up(at("2026-12-02 09:00"), opening=late) == at("2026-12-02 19:00")


def test_a_later_arrival_takes_the_offered_promise_along():
    moved = moved_along(
        at("2026-12-03 12:00"),
        offered_for=at("2026-12-01 08:00"),
        arrives_at=at("2026-12-04 08:00"),
        opening=OPENING,
    )
    # Two days and four hours later is a Sunday.
    assert moved == at("2026-12-07 12:00")
