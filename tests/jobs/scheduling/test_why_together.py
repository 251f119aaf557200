"""Promises that each can be kept, but not all together."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings

from jobs.scheduling import together
from jobs.scheduling.alone import late_alone
from jobs.scheduling.problem import NoPlanError, Settings
from jobs.scheduling.reach import only
from jobs.scheduling.solver import solve
from jobs.scheduling.together import Clash, clashing
from tests.jobs.scheduling.why_shop import Car, car_rows, crowded_shops, plan_of, shop

QUIET = Settings(workers=1, deterministic=1.0, seconds=20.0)


def minimal(*jobs: str) -> Clash:
    return Clash(jobs=jobs, is_minimal=True, is_undecided=False)


def test_two_cars_promised_for_one_hour_in_one_bay():
    problem = shop(Car(key="A", promise=12), Car(key="B", promise=12))
    assert clashing(problem, QUIET) == minimal("A", "B")


def test_of_three_any_two_can_be_ready():
    cars = [Car(key=key, promise=22) for key in "ABC"]
    problem = shop(*cars, Car(key="D", promise=90))
    assert clashing(problem, QUIET) == minimal("A", "B", "C")


def test_all_can_be_ready():
    problem = shop(Car(key="A", promise=10), Car(key="B", promise=20))
    assert clashing(problem, QUIET) is None


def test_what_is_late_alone_is_no_clash():
    problem = shop(Car(key="A", promise=9), Car(key="B", promise=20))
    assert clashing(problem, QUIET) is None


def test_a_clash_of_order_is_found_where_room_would_do():
    """A must be in from 2 to 12; B's ten ticks fit neither before nor after."""
    problem = shop(Car(key="A", arrives=2, promise=12), Car(key="B", promise=21))
    assert clashing(problem, QUIET) == minimal("A", "B")


def test_a_car_that_is_in_already_can_clash_with_one_alone():
    problem = shop(Car(key="A", promise=15), Car(key="B", promise=90, starts=0))
    assert clashing(problem, QUIET) == minimal("A")


def test_more_than_a_handful_is_left_undecided():
    cars = [Car(key=f"car {i}", promise=60) for i in range(7)]
    assert clashing(shop(*cars), QUIET) == together.NOT_KNOWN


def test_what_a_plan_in_hand_keeps_is_asked_no_more(monkeypatch):
    problem = shop(Car(key="A", promise=20), Car(key="B", promise=10))
    plan = plan_of(*car_rows("B", start=0), *car_rows("A", start=10))
    monkeypatch.setattr(together, "quick_plan", None)
    assert clashing(problem, QUIET, plan=plan, seconds=0) is None


def test_without_time_nothing_is_decided():
    problem = shop(Car(key="A", arrives=2, promise=12), Car(key="B", promise=21))
    assert clashing(problem, QUIET, seconds=0) == together.NOT_KNOWN


def test_without_time_what_was_counted_stands_but_may_not_be_minimal():
    problem = shop(Car(key="A", promise=12), Car(key="B", promise=12))
    found = clashing(problem, QUIET, seconds=0)
    assert found == Clash(jobs=("A", "B"), is_minimal=False, is_undecided=False)


def test_without_the_engine_the_count_still_says_what_it_can(monkeypatch):
    def missing():
        raise ImportError("no engine")

    monkeypatch.setattr("jobs.scheduling.build.engine", missing)
    monkeypatch.setattr(together, "engine", missing)
    crowded = shop(Car(key="A", promise=12), Car(key="B", promise=12))
    assert clashing(crowded, QUIET).jobs == ("A", "B")
    ordered = shop(Car(key="A", arrives=2, promise=12), Car(key="B", promise=21))
    assert clashing(ordered, QUIET) == together.NOT_KNOWN


def test_a_search_that_is_cancelled_asks_no_more():
    problem = shop(Car(key="A", arrives=2, promise=12), Car(key="B", promise=21))
    stopped = replace(QUIET, cancelled=lambda: True)
    assert clashing(problem, stopped) == together.NOT_KNOWN


def test_pins_that_contradict_are_no_clash_of_promises():
    problem = shop(
        Car(key="A", promise=50, starts=0), Car(key="B", promise=50, starts=1)
    )
    with pytest.raises(NoPlanError):
        clashing(problem, QUIET)


@settings(max_examples=25, deadline=None)
@given(crowded_shops())
def test_a_minimal_set_cannot_hold_and_can_without_any_one(problem):
    found = clashing(problem, QUIET)
    if found is None:
        hopeless = {each.job for each in late_alone(problem)}
        others = {each.job for each in problem.activities} - hopeless
        assert _least_late(only(problem, others)) == 0
        return
    assert found.is_minimal
    assert _least_late(only(problem, found.jobs)) > 0
    for job in found.jobs:
        assert _least_late(only(problem, set(found.jobs) - {job})) == 0


def _least_late(problem):
    if not problem.activities:
        return 0
    (level,) = solve(problem, QUIET).levels
    assert level.is_proven
    return level.value
