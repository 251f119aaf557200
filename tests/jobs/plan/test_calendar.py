"""Opening time as a row of ticks, across nights, closed days and clock changes."""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from jobs.cure.dates import Settling, settled_at
from jobs.opening.hours import Hours, Opening
from jobs.plan.calendar import (
    Calendar,
    is_skipped,
    opening_min,
)
from jobs.scheduling.problem import look_up
from jobs.scheduling.runs import table_of
from shopapp.figures import given as stated

from .shops import CHICAGO, OVERNIGHT, SATURDAYS, TWO_HOURS, WEEKDAYS

FORWARD, BACK = date(2026, 3, 8), date(2026, 11, 1)


def local(day: date, hour: int, minute: int = 0, fold: int = 0) -> datetime:
    return datetime.combine(day, time(hour, minute, fold=fold), tzinfo=CHICAGO)


def calendar(
    start: datetime, *, opening: Opening = SATURDAYS, days: int = 10, tick_min: int = 15
) -> Calendar:
    return Calendar(
        opening=opening,
        zone=CHICAGO,
        starts_at=start,
        until=start + timedelta(days=days),
        tick_min=tick_min,
    )


FRIDAYS = [date(2026, 3, 6), date(2026, 10, 30), date(2026, 6, 5)]
HOURS = [
    WEEKDAYS,
    SATURDAYS,
    Opening(opens_at=time(7, 50), closes_at=time(17, 10)),
    Opening(
        opens_at=time(9),
        closes_at=time(17),
        other={6: Hours(opens_at=time(1, 20), closes_at=time(5, 35))},
        holidays={
            date(2026, 3, 9): "a day off",
            date(2026, 11, 2): "a day off",
            date(2026, 6, 8): "a day off",
        },
    ),
]
CURES = [
    OVERNIGHT,
    TWO_HOURS,
    Settling(least=stated(12.0, "h", "t"), after_opening_h=1.0, more_days=1),
    Settling(least=stated(48.0, "h", "maker")),
    Settling(least=stated(1.3, "h", "maker")),
    Settling(least=stated(0.0, "h", "maker")),
]


@pytest.mark.parametrize("friday", FRIDAYS)
@pytest.mark.parametrize("opening", HOURS)
@pytest.mark.parametrize("settling", CURES)
def test_the_cure_table_agrees_with_the_rule_at_every_end(friday, opening, settling):
    row = calendar(local(friday, 8), opening=opening, days=6)
    table = row.ready_after(settling)
    for tick in range(row.count):
        laid = row.end_of(tick).astimezone(CHICAGO)
        over = settled_at(laid_at=laid, settling=settling, opening=opening)
        ready = look_up(table, tick)
        if ready < row.count:
            assert row.start_of(ready) >= over
        if ready:
            assert row.start_of(ready - 1) < over


@given(
    steps=st.lists(st.integers(0, 3), max_size=40),
)
@settings(max_examples=200)
def test_the_runs_of_a_table_say_what_the_function_says(steps):
    values = [sum(steps[: place + 1]) for place in range(len(steps))]
    table = table_of(lambda at: values[at], len(values))
    assert [look_up(table, at) for at in range(len(values))] == values
    assert look_up(table, len(values) + 5) >= len(values)


def test_an_overnight_cure_takes_few_runs():
    row = calendar(local(FRIDAYS[2], 8), days=28)
    assert len(row.ready_after(OVERNIGHT)) <= 3 * len(row.days)


@pytest.mark.parametrize(
    ("day", "elapsed_h"), [(FORWARD, 42 - 1), (BACK, 42 + 1), (date(2026, 6, 7), 42)]
)
def test_elapsed_time_is_counted_across_a_change_of_the_clocks(day, elapsed_h):
    row = calendar(local(day - timedelta(days=1), 8), days=4)
    closing = row.floor(local(day - timedelta(days=1), 13))
    opening = row.ceil(local(day + timedelta(days=1), 7))
    assert closing == opening
    between = row.start_of(opening) - row.end_of(closing)
    assert between == timedelta(hours=elapsed_h + 1)
    settling = Settling(least=stated(float(elapsed_h), "h", "maker"))
    assert look_up(row.ready_after(settling), closing) == opening
    longer = Settling(least=stated(elapsed_h + 1.5, "h", "maker"))
    assert look_up(row.ready_after(longer), closing) == opening + 2


def test_one_tick_is_closing_as_an_end_and_opening_as_a_start():
    row = calendar(local(FRIDAYS[2], 8))
    tick = row.floor(local(FRIDAYS[2], 18))
    assert row.end_of(tick).astimezone(CHICAGO) == local(FRIDAYS[2], 18)
    assert row.start_of(tick).astimezone(CHICAGO) == local(date(2026, 6, 6), 8)


def test_a_promise_at_closing_is_kept_by_work_that_ends_then():
    row = calendar(local(FRIDAYS[2], 8))
    saturday = date(2026, 6, 6)
    for promise in (local(saturday, 13), local(saturday, 23), local(saturday, 13, 7)):
        tick = row.floor(local(saturday, 13))
        assert look_up(row.late_by_end(promise), tick) == 0
        assert look_up(row.late_by_end(promise), tick + 1) == 1


def test_film_that_settles_in_the_night_is_late_for_a_promise_at_closing():
    row = calendar(local(FRIDAYS[2], 8))
    saturday, monday = date(2026, 6, 6), date(2026, 6, 8)
    tick = row.ceil(local(monday, 0))
    assert row.floor(local(saturday, 13)) == tick
    assert look_up(row.late_by_start(local(saturday, 13)), tick) == 1
    assert look_up(row.late_by_start(local(monday, 8)), tick) == 0


def test_a_promise_that_has_passed_counts_the_hours_since():
    row = calendar(local(date(2026, 6, 8), 9))
    promise = local(FRIDAYS[2], 17)
    hours = 1 + 5 + 1
    assert look_up(row.late_by_end(promise), 0) == hours * 4
    assert look_up(row.late_by_end(promise), 3) == hours * 4 + 3


def test_ticks_are_laid_from_an_opening_off_the_quarter_hour():
    opening = Opening(opens_at=time(7, 50), closes_at=time(17, 10))
    row = calendar(local(FRIDAYS[2], 0), opening=opening, days=3)
    (first, last), *_ = row.days
    assert row.start_of(first).astimezone(CHICAGO) == local(FRIDAYS[2], 7, 50)
    assert row.end_of(last).astimezone(CHICAGO) == local(FRIDAYS[2], 17, 5)
    assert last - first == 37
    assert look_up(row.late_by_end(local(FRIDAYS[2], 17, 10)), last) == 0


def test_nothing_begins_before_now():
    row = calendar(local(FRIDAYS[2], 10, 7))
    assert row.start_of(0).astimezone(CHICAGO) == local(FRIDAYS[2], 10, 15)
    assert row.end_of(0).astimezone(CHICAGO) == local(FRIDAYS[2], 10, 7)


def test_hours_that_the_clocks_skip_or_repeat_are_counted_as_they_pass():
    night = Opening(
        opens_at=time(1), closes_at=time(4), other=dict.fromkeys(range(6), None)
    )
    forward = calendar(local(FORWARD, 0), opening=night, days=1)
    back = calendar(local(BACK, 0), opening=night, days=1)
    assert forward.days[0] == (0, 8)
    assert back.days[0] == (0, 16)


def test_an_opening_that_the_clocks_skip_is_the_hour_after():
    skipped = Opening(
        opens_at=time(2, 30), closes_at=time(5), other=dict.fromkeys(range(6), None)
    )
    row = calendar(local(FORWARD, 0), opening=skipped, days=1)
    assert row.start_of(0) == datetime(2026, 3, 8, 8, 30, tzinfo=UTC)
    assert row.days[0] == (0, 6)
    nothing = Opening(
        opens_at=time(2, 30), closes_at=time(3, 15), other=dict.fromkeys(range(6), None)
    )
    row = calendar(local(FORWARD, 0), opening=nothing, days=8)
    assert row.start_of(0).astimezone(CHICAGO).date() == date(2026, 3, 15)


def test_a_time_that_does_not_exist_is_known():
    assert is_skipped(local(FORWARD, 2, 30))
    assert not is_skipped(local(FORWARD, 3, 30))
    assert not is_skipped(local(BACK, 1, 30))
    assert not is_skipped(local(BACK, 1, 30, fold=1))


def test_a_shop_that_never_opens_has_no_tick():
    never = Opening(
        opens_at=time(8), closes_at=time(18), other=dict.fromkeys(range(7), None)
    )
    assert calendar(local(FRIDAYS[2], 8), opening=never).count == 0


def test_minutes_open_between_two_moments():
    friday, monday = local(FRIDAYS[2], 17), local(date(2026, 6, 8), 9)
    count = opening_min(SATURDAYS, zone=CHICAGO, since=friday, until=monday)
    assert count == 60 + 300 + 60
    assert opening_min(SATURDAYS, zone=CHICAGO, since=monday, until=friday) == 0
