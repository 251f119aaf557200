"""What a car can reach alone in the empty shop."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings

from jobs.scheduling.alone import FROM_THE_FIRST_TICK, alone, late_alone
from jobs.scheduling.listing import quick_plan
from jobs.scheduling.problem import (
    Activity,
    Choice,
    Due,
    Level,
    Link,
    Need,
    NoPlanError,
    Problem,
    Resource,
    Run,
    Settings,
    late_after,
)
from jobs.scheduling.reach import earliest, only, promised_jobs
from jobs.scheduling.solver import solve
from tests.jobs.scheduling.problems_at_random import problems
from tests.jobs.scheduling.why_shop import Car, crowded_shops, of, shop

QUIET = Settings(workers=1, deterministic=1.0, seconds=20.0)


def test_a_car_needs_its_stages_one_after_the_other():
    found = alone(shop(Car(key="A", arrives=4, promise=13)), "A")
    assert (found.ready, found.late, found.is_exact) == (14, 1, True)
    assert found.is_impossible
    assert [(at.key, at.start, at.end) for at in found.steps] == [
        ("A prep", 4, 6),
        ("A film", 6, 13),
        ("A look", 13, 14),
    ]


def test_a_promise_of_that_very_tick_can_be_kept():
    assert not alone(shop(Car(key="A", arrives=4, promise=14)), "A").is_impossible


def test_the_other_cars_are_gone():
    others = [Car(key=f"B{i}", promise=10, starts=10 * i) for i in range(3)]
    assert alone(shop(Car(key="A", promise=10), *others), "A").ready == 10


def test_a_bay_that_closes_too_early_is_of_no_use():
    problem = shop(Car(key="A", promise=10), closed={"bay": [(8, 20)]})
    assert alone(problem, "A").ready == 30


def test_of_two_bays_the_one_that_helps_is_taken():
    car = Car(key="A", promise=10, bays=("bay", "box"))
    problem = shop(car, closed={"bay": [(8, 20)], "box": [(0, 6)]})
    assert alone(problem, "A").ready == 16


def test_who_is_away_is_waited_for():
    car = Car(key="A", promise=10, people=("ann",))
    problem = shop(car, closed={"ann": [(3, 12)]})
    assert alone(problem, "A").ready == 20


def test_a_pin_stays():
    problem = shop(Car(key="A", promise=30), closed={"bob": [(0, 15)]})
    prep, *rest = problem.activities
    pinned = replace(problem, activities=(replace(prep, pinned=("bob",)), *rest))
    assert alone(pinned, "A").ready == 25


def test_a_fixed_start_stays():
    assert alone(shop(Car(key="A", promise=30, starts=17)), "A").ready == 27


def test_the_night_in_which_it_settles_counts_for_nothing():
    """Ten open ticks a day; what is laid on a day has settled when the next opens."""
    problem = shop(Car(key="A", arrives=3, film=3, promise=10))
    nights = tuple(
        Run(first=1 + 10 * day, value=10 + 10 * day, rise=0) for day in (0, 1)
    )
    table = (Run(first=0, value=0, rise=0), *nights)
    first, last = problem.links
    problem = replace(problem, links=(first, replace(last, start_by_end=table)))
    assert alone(problem, "A").ready == 11


def test_who_is_faster_is_asked():
    slow_or_fast = Need(
        choices=(Choice(resource="ann", size=9), Choice(resource="bob", size=4))
    )
    problem = Problem(
        name="",
        horizon=50,
        activities=(Activity(key="a", job="A", size=9, needs=(slow_or_fast,)),),
        resources=(Resource(key="ann"), Resource(key="bob", closed=((0, 7),))),
        dues=(Due(activity="a", since="a", late_by_ready=late_after(8)),),
    )
    assert alone(problem, "A").ready == 9
    later = replace(problem.resources[1], closed=((0, 5),))
    problem = replace(problem, resources=(problem.resources[0], later))
    found = alone(problem, "A")
    assert (found.ready, found.late) == (9, 1)


def test_a_mark_of_its_arrival_keeps_nothing():
    problem = shop(Car(key="A", arrives=4, promise=20))
    mark = Activity(key="A comes", job="A", size=0, fixed_start=4)
    problem = replace(problem, activities=(*problem.activities, mark))
    found = alone(problem, "A", with_engine=False)
    assert (found.ready, found.is_exact) == (14, True)
    later = earliest(problem, not_before=50)
    assert later is not None
    assert (later["A prep"].start, later["A comes"].start) == (50, 4)


def test_two_stages_at_once_that_want_one_person_are_searched():
    stages = [
        Activity(key=key, job="A", size=size, needs=(of("ann"),))
        for key, size in (("cut", 3), ("wash", 4), ("film", 5))
    ]
    problem = Problem(
        name="",
        horizon=50,
        activities=tuple(stages),
        links=(Link(before="cut", after="film"), Link(before="wash", after="film")),
        resources=(Resource(key="ann"),),
        dues=(Due(activity="film", since="cut", late_by_ready=late_after(11)),),
        levels=(Level.LATE, Level.STAY),
    )
    found = alone(problem, "A")
    assert (found.ready, found.late, found.is_exact) == (12, 1, True)
    bound = alone(problem, "A", with_engine=False)
    assert (bound.ready, bound.late, bound.is_exact) == (9, 0, False)


def test_a_car_for_which_there_is_no_room_is_impossible():
    found = alone(shop(Car(key="A", promise=5), horizon=9), "A")
    assert (found.ready, found.late, found.is_impossible) == (None, None, True)


def test_a_car_without_a_promise_is_not_asked_for():
    problem = replace(shop(Car(key="A", promise=5)), dues=())
    with pytest.raises(ValueError, match="nothing is promised"):
        alone(problem, "A")


def test_all_that_are_late_even_alone_are_told():
    problem = shop(
        Car(key="A", promise=9), Car(key="B", promise=10), Car(key="C", promise=3)
    )
    assert [(each.job, each.late) for each in late_alone(problem)] == [
        ("A", 1),
        ("C", 7),
    ]


@settings(max_examples=60, deadline=None)
@given(crowded_shops())
def test_no_plan_has_a_car_ready_earlier_than_alone(problem):
    plan = quick_plan(problem, seconds=0)
    for due in problem.dues:
        job = due.activity.removesuffix(" look")
        ready = alone(problem, job).ready
        assert ready is not None
        assert plan.by_key[due.activity].end >= ready


@settings(max_examples=15, deadline=None)
@given(crowded_shops())
def test_a_car_that_is_impossible_alone_is_late_in_every_proven_plan(problem):
    plan = solve(problem, QUIET)
    for one in late_alone(problem):
        due = next(due for due in problem.dues if due.activity == one.activity)
        assert one.late is not None
        assert due.late(plan.by_key[one.activity].end) >= one.late


@settings(max_examples=60, deadline=None)
@given(problems())
def test_no_activity_of_any_plan_is_earlier_than_its_reach(problem):
    try:
        plan = quick_plan(problem, seconds=0)
    except NoPlanError:
        return
    for job in promised_jobs(problem):
        found = earliest(only(problem, (job,)))
        if found is None:
            assert max(plan.by_key[a.key].end for a in problem.activities) > 200
            continue
        for key, at in found.items():
            assert plan.by_key[key].start >= at.start
            assert plan.by_key[key].end >= at.end


@settings(max_examples=25, deadline=None)
@given(problems(most_jobs=1))
def test_what_is_exact_is_what_the_engine_proves(problem):
    (due,) = problem.dues
    counted = replace(due, weight=1, late_by_ready=FROM_THE_FIRST_TICK)
    asked = replace(problem, dues=(counted,), levels=(Level.LATE,))
    try:
        (best,) = solve(asked, QUIET).levels
    except NoPlanError:
        return
    found = alone(problem, "j0")
    if found.ready is None:
        assert best.value > problem.horizon
    elif found.is_exact and best.is_proven:
        assert found.ready == best.value
    else:
        assert found.ready <= best.value
