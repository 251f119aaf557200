"""A published shop floor sent through the shop's own adapter and calendar.

Source of ft06 and of its optimum, 55: Fisher & Thompson, in Muth & Thompson (eds),
Industrial Scheduling, 1963; the file beside the cases names where it was taken from.
"""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import date, datetime, time, timedelta
from pathlib import Path

import pytest

from jobs.opening.hours import Hours, Opening
from jobs.plan.adapter import plan_through
from jobs.plan.shop import Car, Part, ShopFacts, Spot, Work
from jobs.scheduling import Level, Plan, Problem, Settings, solve

from .recount import complaints, worked
from .shops import CHICAGO

CASES = Path(__file__).parents[2] / "cases" / "scheduling" / "jsp.json"
MONDAY = datetime(2026, 6, 1, 0, tzinfo=CHICAGO)
HOUR = timedelta(hours=1)
PARTS = (
    *(Part.INTAKE, Part.ADDED_BEFORE, Part.PREP),
    *(Part.INSTALL, Part.ADDED_AFTER, Part.INSPECTION),
)


def ft06() -> list[list[list[int]]]:
    instances = json.loads(CASES.read_text())["instances"]
    found = next(each for each in instances if each["name"] == "ft06")
    assert found["best_known"] == {"lower": 55, "upper": 55}
    jobs: list[list[list[int]]] = found["jobs"]
    return jobs


def floor(opening: Opening, *, promised_at: datetime, now: datetime) -> ShopFacts:
    """Six kinds of bay, one of each; a job is a car and a machine's hour an hour."""
    cars = tuple(
        Car(
            key=f"booking-{number}",
            name=f"Job {number}",
            arrives_at=now,
            promised_at=promised_at,
            works=tuple(
                Work(part=part, minutes=60 * hours, spot=f"kind {kind}", may_pause=True)
                for part, (kind, hours) in zip(PARTS, job, strict=True)
            ),
        )
        for number, job in enumerate(ft06())
    )
    spots = tuple(
        Spot(key=f"bay-{kind}", name=f"Bay {kind}", kind=f"kind {kind}")
        for kind in range(6)
    )
    return ShopFacts(
        now=now, opening=opening, spots=spots, hands=(), cars=cars, tick_min=60
    )


def shortest(problem: Problem) -> Plan:
    """Proven, by one worker and without a clock."""
    return solve(
        replace(problem, levels=(Level.MAKESPAN,)),
        Settings(workers=1, deterministic=10.0, seconds=60.0),
    )


NINE_TO_FIVE = Opening(opens_at=time(8), closes_at=time(16))
ODD = Opening(
    opens_at=time(7, 50),
    closes_at=time(13, 20),
    other={5: Hours(opens_at=time(9, 30), closes_at=time(12, 40)), 6: None},
    holidays={date(2026, 6, 3): "a day off"},
)
AROUND_THE_CLOCK = Opening(opens_at=time(0), closes_at=time(23), other={})


@pytest.mark.parametrize("opening", [NINE_TO_FIVE, ODD, AROUND_THE_CLOCK])
def test_ft06_takes_55_working_hours_whatever_the_opening_hours(opening):
    facts = floor(opening, promised_at=MONDAY + timedelta(days=60), now=MONDAY)
    compiled, plan = plan_through(facts, search=shortest)
    assert [each.value for each in plan.levels] == [55]
    assert plan.levels[0].is_proven
    found = compiled.read(plan)
    assert complaints(facts, found) == []
    last = max(found.steps, key=lambda step: step.ends_at)
    whole = replace(last, starts_at=min(step.starts_at for step in found.steps))
    assert sum((b - a for a, b in worked(facts, whole)), timedelta()) == 55 * HOUR


def test_ft06_ends_on_the_second_tuesday_at_three():
    facts = floor(NINE_TO_FIVE, promised_at=MONDAY + timedelta(days=60), now=MONDAY)
    compiled, plan = plan_through(facts, search=shortest)
    found = compiled.read(plan)
    ends = max(step.ends_at for step in found.steps).astimezone(CHICAGO)
    assert ends == datetime(2026, 6, 9, 15, tzinfo=CHICAGO)
    assert max(each.ready_at for each in found.cars) == ends


@pytest.mark.parametrize(("hour", "late"), [(15, False), (14, True)])
def test_ft06_keeps_a_promise_for_its_last_hour_and_no_earlier_one(hour, late):
    promise = datetime(2026, 6, 9, hour, tzinfo=CHICAGO)
    facts = floor(NINE_TO_FIVE, promised_at=promise, now=MONDAY)
    _, plan = plan_through(
        facts,
        search=lambda problem: solve(
            replace(problem, levels=(Level.LATE,)),
            Settings(workers=1, deterministic=10.0, seconds=60.0),
        ),
    )
    assert plan.levels[0].is_proven
    assert bool(plan.levels[0].value) is late


@pytest.mark.parametrize("opening", [NINE_TO_FIVE, ODD])
def test_a_week_later_the_plan_is_a_week_later(opening):
    week = timedelta(days=7)
    usual = replace(opening, holidays={})
    promise = MONDAY + timedelta(days=60)
    first = floor(usual, promised_at=promise, now=MONDAY)
    second = floor(usual, promised_at=promise + week, now=MONDAY + week)
    plans = [
        compiled.read(plan)
        for compiled, plan in (
            plan_through(facts, search=shortest) for facts in (first, second)
        )
    ]
    assert [
        (step.key, step.starts_at + week, step.spot) for step in plans[0].steps
    ] == [(step.key, step.starts_at, step.spot) for step in plans[1].steps]
