"""Cure time in elapsed hours, care in calendar days."""

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given as for_all
from hypothesis import strategies as st

from jobs.coverage.catalogue import Package
from jobs.cure.dates import (
    CureRule,
    care_dates,
    cure_h,
    ready_from,
    settled_at,
    settling,
    where_to_settle,
)
from jobs.opening.hours import Opening
from shopapp.figures import explain

RULE = CureRule()
COLD = CureRule(cold_nights=True)
BERLIN = ZoneInfo("Europe/Berlin")


OPENING = Opening(opens_at=time(8), closes_at=time(18))


@pytest.mark.parametrize(
    ("package", "low", "high"),
    [
        # Common practice, no published source: 0 to 1 h after small panels, 2 h after
        # a partial front, overnight and at least 12 h after a full front or more.
        (Package.PARTIAL_FRONT, 2, 2),
        (Package.SINGLE_PANELS, 0, 1),
        (Package.FULL_FRONT, 12, 12),
        (Package.TRACK, 12, 12),
        (Package.FULL_VEHICLE, 12, 12),
    ],
)
def test_the_default_cure_time_is_that_of_common_practice(package, low, high):
    assert low <= cure_h(package=package, rule=RULE).value <= high


@pytest.mark.parametrize(
    ("package", "hours"),
    [(Package.FULL_FRONT, 36.0), (Package.PARTIAL_FRONT, 2.0)],
)
def test_cold_nights_in_the_bay_add_a_day(package, hours):
    # Common practice, no published source; who leaves by day spends no night.
    assert cure_h(package=package, rule=COLD).value == hours


def over(laid_at, package=Package.FULL_FRONT, rule=RULE, **more):
    how = settling(
        package=package, maker="film A", rule=rule, **{"maker_h": None} | more
    )
    return settled_at(laid_at=laid_at, settling=how, opening=OPENING)


@pytest.mark.parametrize(
    ("laid", "settled"),
    [
        # An hour after the next opening, and at least 12 h; 2031-05-06 is a Tuesday.
        ((6, 17, 0), (7, 9, 0)),
        ((6, 23, 10), (7, 11, 30)),
        # Friday evening: the next opening is Monday's.
        ((9, 17, 0), (12, 9, 0)),
    ],
)
def test_a_full_front_stays_overnight_until_an_hour_after_opening(laid, settled):
    laid_at = datetime(2031, 5, *laid, tzinfo=BERLIN)
    assert over(laid_at) == datetime(2031, 5, *settled, tzinfo=BERLIN)


def test_it_is_said_to_the_half_hour():
    laid_at = datetime(2031, 5, 6, 10, 7, 3, tzinfo=BERLIN)
    partial = over(laid_at, Package.PARTIAL_FRONT)
    assert partial == datetime(2031, 5, 6, 12, 30, tzinfo=BERLIN)


def test_a_cold_night_adds_a_day_to_the_morning():
    laid_at = datetime(2031, 5, 6, 17, tzinfo=BERLIN)
    assert over(laid_at, rule=COLD) == datetime(2031, 5, 8, 9, tzinfo=BERLIN)


def test_what_the_films_maker_says_wins():
    laid_at = datetime(2031, 5, 6, 17, tzinfo=BERLIN)
    assert over(laid_at, maker_h=4.0) == datetime(2031, 5, 6, 21, tzinfo=BERLIN)


def test_film_settles_indoors_and_needs_no_bay():
    def said(**more):
        known = {"is_settling": True, "in_a_bay": False, "is_indoors": True}
        return str(where_to_settle(**known | more) or "")

    assert said() == ""
    assert "outdoors" in said(is_indoors=False)
    assert "needs no bay" in said(in_a_bay=True, is_indoors=None)
    assert said(is_settling=False, is_indoors=False) == ""


def test_the_cure_time_opens_to_formula_and_source():
    assert "cold nights" in explain("jobs.cure.cure_h").formula


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
    "wrong",
    [
        {"small_h": -1},
        {"overnight_h": 1, "partial_h": 2},
        {"after_opening_h": -1},
        {"recheck_from_days": 9, "recheck_until_days": 8},
    ],
)
def test_a_cure_rule_that_makes_no_sense_is_refused(wrong):
    with pytest.raises(ValueError, match=r"settles|window"):
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


@for_all(
    laid_at=st.datetimes(
        datetime(2020, 1, 1),  # noqa: DTZ001
        datetime(2035, 1, 1),  # noqa: DTZ001
        timezones=st.just(BERLIN),
        allow_imaginary=False,
    ),
    package=st.sampled_from(Package),
    cold=st.booleans(),
)
def test_no_film_leaves_early_and_every_time_is_a_half_hour(laid_at, package, cold):
    rule = CureRule(cold_nights=cold)
    settled = over(laid_at, package, rule)
    least = timedelta(hours=cure_h(package=package, rule=rule).value)
    waits = settled.astimezone(UTC) - laid_at.astimezone(UTC)
    assert waits >= least
    assert (settled.minute % 30, settled.second, settled.microsecond) == (0, 0, 0)
    # The longest that a shop is closed here is a weekend.
    assert waits <= timedelta(days=4 + cold)
