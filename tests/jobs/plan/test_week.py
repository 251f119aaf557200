"""The week as a table, and what may not be fixed."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from hypothesis import given
from hypothesis import strategies as st

from jobs.opening.hours import AFTERNOON, MORNING, Hours, Opening
from jobs.plan.fixed_day import refused_day, stretch_of
from jobs.plan.planned import ShopPlan
from jobs.plan.week import By, days_from, week
from tests.jobs.plan.plans import HOUR, car_planned, steps_of

ZONE = ZoneInfo("America/Chicago")
TUESDAY = date(2031, 5, 6)
NOW = datetime(2031, 5, 6, 8, tzinfo=ZONE)
OPENING = Opening(
    opens_at=time(8),
    closes_at=time(18),
    other={5: Hours(opens_at=time(8), closes_at=time(12)), 6: None},
    holidays={date(2031, 5, 8): "Founders' day"},
)
NAMES = {"bay-1": "Bay 1", "person-3": "Chidi"}


def table(by: By, at: datetime = NOW + 3 * HOUR, away=()):
    plan = ShopPlan(
        as_of=NOW,
        steps=steps_of("booking-1", at, people=("person-3",)),
        cars=(car_planned("booking-1", at + 3 * HOUR, at, late_min=180),),
    )
    key = "bay-1" if by is By.BAY else "person-3"
    return week(
        plan,
        by=by,
        days=days_from(TUESDAY, number=7, opening=OPENING, like=NOW),
        rows=[(key, NAMES[key], True), ("bay-9", "Bay 9", False)],
        names=NAMES,
        away={"person-3": away},
    )


def test_half_a_day_of_a_bay_says_which_car_and_what_is_done():
    found = table(By.BAY)
    morning, afternoon = found.rows[0].cells[0]
    assert [(one.car, one.what) for one in morning.entries] == [("booking-1", "prep")]
    assert [one.what for one in afternoon.entries] == ["film work, inspection"]
    assert morning.entries[0].beside == "Chidi"
    assert morning.entries[0].begins_at == NOW + 3 * HOUR


def test_a_late_car_is_called_late_once_where_it_stands_first():
    halves = [cell for pair in table(By.BAY).rows[0].cells for cell in pair]
    late = [one.is_late for half in halves for one in half.entries]
    assert late == [True, False]


def test_half_a_day_of_a_person_says_where():
    morning, _ = table(By.PERSON).rows[0].cells[0]
    assert [(one.what, one.beside) for one in morning.entries] == [("prep", "Bay 1")]


def test_a_place_in_which_nothing_stands_is_left_out():
    assert [row.name for row in table(By.BAY).rows] == ["Bay 1"]


def test_closed_days_and_halves_say_so():
    days = table(By.BAY).days
    assert [day.closed for day in days] == [
        "",
        "",
        "Founders' day",
        "",
        "",
        "closed",
        "",
    ]
    saturday = days[4]
    assert [half.is_open for half in saturday.halves] == [True, False]
    assert not any(half.is_open for half in days[2].halves)


def test_somebody_who_is_away_is_away_in_that_half():
    away = [(NOW + 4 * HOUR, NOW + 10 * HOUR)]
    morning, afternoon = table(By.PERSON, away=away).rows[0].cells[0]
    assert (morning.is_away, afternoon.is_away) == (False, True)


def test_day_after_day_names_only_what_has_something():
    by_day = table(By.BAY).by_day()
    assert [len(rows) for _, rows in by_day] == [1, 0, 0, 0, 0, 0, 0]


@given(st.integers(0, 40))
def test_a_car_stands_in_a_half_exactly_when_their_times_meet(quarters: int):
    at = NOW + quarters * HOUR / 4
    for pair, day in zip(table(By.BAY, at).rows[0].cells, range(7), strict=True):
        for cell in pair:
            meets = cell.half.is_open and (
                at < cell.half.ends_at and at + 3 * HOUR > cell.half.starts_at
            )
            assert bool(cell.entries) == meets, (day, cell.half)


def test_a_fixed_half_ends_or_begins_at_noon_in_the_shop_s_zone():
    start, end = stretch_of(TUESDAY, MORNING, like=NOW)
    assert (start.hour, end.hour, end.date()) == (0, 12, TUESDAY)
    start, end = stretch_of(TUESDAY, AFTERNOON, like=NOW)
    assert (start.hour, end.date()) == (12, TUESDAY + timedelta(days=1))


def refused(day: date, half: str = "", *, at: datetime = NOW, arrives=NOW) -> str:
    why = refused_day(day, half, now=at, arrives_at=arrives, opening=OPENING)
    return str(why) if why else ""


def test_a_day_that_cannot_be_is_refused_with_its_reason():
    assert refused(TUESDAY) == ""
    assert "passed" in refused(TUESDAY - timedelta(days=1))
    assert "passed" in refused(TUESDAY, MORNING, at=NOW + 5 * HOUR)
    assert "Look at the year" in refused(TUESDAY.replace(year=TUESDAY.year + 10))
    assert refused(TUESDAY, AFTERNOON, at=NOW + 5 * HOUR) == ""
    assert refused(date(2031, 5, 11)) == "The shop is closed on Sunday, 2031-05-11."
    assert "Founders' day" in refused(date(2031, 5, 8))
    assert refused(date(2031, 5, 10), AFTERNOON) == "The shop closes at 12:00 that day."
    assert "comes only" in refused(TUESDAY, arrives=NOW + 24 * HOUR)
