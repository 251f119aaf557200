"""What a plan reaches, and how far that is proven."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime

import pytest

from jobs.plan.planned import Reached, ShopPlan
from jobs.plan.proof import gained_pct, gap_pct, goals, hours_said, late_said
from shopapp.say import say
from tests.jobs.plan.plans import HOUR, car_planned

NOW = datetime(2031, 5, 6, 15, tzinfo=UTC)


def plan(*reached: Reached, late: tuple[int, ...] = ()) -> ShopPlan:
    cars = [
        car_planned(f"booking-{at}", NOW, NOW - HOUR, late_min=minutes)
        for at, minutes in enumerate(late)
    ]
    return ShopPlan(as_of=NOW, steps=(), cars=tuple(cars), reached=reached)


def reached(level: str, value: int, bound: int | None, first: int | None = None):
    return Reached(
        level=level, value=value, bound=bound, is_proven=value == bound, first=first
    )


def test_lateness_is_said_in_cars_and_hours():
    assert str(late_said(plan())) == "no promise is missed"
    assert str(late_said(plan(late=(90,)))) == "1 car late by 1 h 30 min"
    assert str(late_said(plan(late=(240, 0, 240)))) == "2 cars late, together 8 h"


def test_cars_that_cannot_be_planned_are_said_before_the_late_ones():
    out = (("booking-8", say("Nobody here can inspect {car}.", car="booking-8")),)
    nobody_late = replace(plan(), unplaced=out)
    one_late = replace(plan(late=(90,)), unplaced=out * 2)
    assert str(late_said(nobody_late)).startswith("1 car cannot be planned; no promise")
    assert str(late_said(one_late)).startswith("2 cars cannot be planned; 1 car late")
    assert hours_said(45) == "45 min"


def test_a_goal_says_whether_it_is_proven():
    late, stay = goals(
        plan(reached("late", 32, 32), reached("stay", 400, 385), late=(480,))
    )
    assert str(late.proof) == "Proven: no plan does better."
    assert str(stay.proof) == "At most 4 % could still be gained."
    assert stay.gap
    assert stay.gap.value == 4


def test_a_goal_without_a_bound_is_not_yet_proven():
    for bound in (None, 0):
        (goal,) = goals(plan(reached("stay", 400, bound)))
        assert (str(goal.proof), goal.gap) == ("Not yet proven.", None)


def test_where_no_promise_is_missed_there_is_nothing_to_prove():
    (goal,) = goals(plan(reached("late", 0, 0)))
    assert (str(goal.value), goal.proof) == ("no promise is missed", None)


def test_what_the_search_gained_over_the_quick_plan_is_said():
    (goal,) = goals(plan(reached("stay", 300, 300, first=400)))
    assert "25 % less time in the shop" in str(goal.gained)
    (worse,) = goals(plan(reached("stay", 400, 400, first=300)))
    assert worse.gained is None


@pytest.mark.parametrize("values", [(0, 0), (5, 6), (5, -1)])
def test_a_gap_beyond_its_range_is_refused(values):
    value, bound = values
    with pytest.raises(ValueError, match="bound"):
        gap_pct(value=value, bound=bound)
    with pytest.raises(ValueError, match="gain"):
        gained_pct(first=value, value=bound)
