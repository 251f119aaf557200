"""Cure time in elapsed hours, care in calendar days."""

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given as for_all
from hypothesis import strategies as st

from jobs.coverage import Package
from jobs.cure import (
    Countdown,
    CureRule,
    care_dates,
    countdown,
    cure_h,
    cure_sentence,
    ready_from,
)
from shopapp.figures import explain

RULE = CureRule()
BERLIN = ZoneInfo("Europe/Berlin")


@pytest.mark.parametrize(
    ("package", "low", "high"),
    [
        # Common practice, no published source: 2 to 4 h after a partial front,
        # overnight (here 12 to 18 h) after a full front or more.
        (Package.PARTIAL_FRONT, 2, 4),
        (Package.SINGLE_PANELS, 2, 4),
        (Package.FULL_FRONT, 12, 18),
        (Package.TRACK, 12, 18),
        (Package.FULL_VEHICLE, 12, 18),
    ],
)
def test_the_default_cure_time_is_that_of_common_practice(package, low, high):
    assert low <= cure_h(package=package, coldest_c=None, rule=RULE).value <= high


@pytest.mark.parametrize(
    ("coldest_c", "hours"), [(17.9, 24.0), (18.0, 16.0), (25.0, 16.0), (None, 16.0)]
)
def test_a_bay_under_18_degrees_keeps_the_car_longer(coldest_c, hours):
    made = cure_h(package=Package.FULL_FRONT, coldest_c=coldest_c, rule=RULE)
    assert made.value == hours


def test_the_cure_time_opens_to_formula_and_source():
    assert "cold factor" in explain("jobs.cure.cure_h").formula


def test_the_night_the_clocks_change_is_not_an_hour_short():
    # Europe/Berlin went from 02:00 to 03:00 on 29 March 2026 (IANA zone data):
    # 16 hours after 20:00 the clock on the wall shows 13:00.
    laid_at = datetime(2026, 3, 28, 20, tzinfo=BERLIN)
    over = ready_from(laid_at=laid_at, hours=16).astimezone(BERLIN)
    assert (over.day, over.hour) == (29, 13)


def test_a_time_without_a_zone_is_an_error():
    naive = datetime(2026, 3, 28, 20)  # noqa: DTZ001
    with pytest.raises(ValueError, match="without its zone"):
        ready_from(laid_at=naive, hours=4)


def test_a_negative_cure_time_is_an_error():
    with pytest.raises(ValueError, match="negative"):
        ready_from(laid_at=datetime(2026, 3, 28, tzinfo=UTC), hours=-1)


def test_wash_and_recheck_are_days_after_hand_over():
    dates = care_dates(handed_over_on=date(2026, 2, 25), rule=RULE)
    assert dates.wash_from == date(2026, 3, 4)
    assert dates.recheck_from == date(2026, 3, 4)
    assert dates.recheck_until == date(2026, 3, 11)
    assert dates.pockets_until == date(2026, 3, 25)


@pytest.mark.parametrize(
    ("before", "left"),
    [
        (timedelta(hours=2, minutes=5), Countdown(hours=2, minutes=5)),
        (timedelta(seconds=1), Countdown(hours=0, minutes=1)),
        (timedelta(0), Countdown(hours=0, minutes=0)),
        (timedelta(hours=-3), Countdown(hours=0, minutes=0)),
    ],
)
def test_the_countdown_rounds_up_and_stops_at_zero(before, left):
    until = datetime(2026, 3, 2, 12, tzinfo=UTC)
    assert countdown(until=until, now=until - before) == left


def test_the_sentence_says_when_it_is_over():
    until = datetime(2026, 3, 2, 12, tzinfo=UTC)
    assert str(cure_sentence(until=until, now=until)).startswith("The film has settled")
    soon = cure_sentence(until=until, now=until - timedelta(minutes=5))
    assert "another 5 min" in str(soon)
    later = cure_sentence(until=until, now=until - timedelta(minutes=125))
    assert "another 2 h 5 min" in str(later)


@pytest.mark.parametrize(
    "wrong",
    [
        {"small_h": -1},
        {"large_h": 1, "small_h": 2},
        {"cold_factor": 0.5},
        {"recheck_from_days": 9, "recheck_until_days": 8},
    ],
)
def test_a_cure_rule_that_makes_no_sense_is_refused(wrong):
    with pytest.raises(ValueError, match=r"settles|shortens|window"):
        CureRule(**wrong)


@for_all(
    laid_at=st.datetimes(
        datetime(2020, 1, 1),  # noqa: DTZ001
        datetime(2035, 1, 1),  # noqa: DTZ001
        timezones=st.just(BERLIN),
        allow_imaginary=False,
    ),
    hours=st.integers(0, 72),
)
def test_cure_time_is_elapsed_time_in_every_season(laid_at, hours):
    over = ready_from(laid_at=laid_at, hours=hours)
    assert over.timestamp() - laid_at.timestamp() == hours * 3600
