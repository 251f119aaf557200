"""Plans on opening time, recounted on the real clock straight from the instance."""

import json
from pathlib import Path

import pytest

from jobs.scheduling import Settings, quick_plan, solve
from jobs.scheduling.checker import violations
from tests.bench.scheduling_real import real_axis_values
from tests.bench.scheduling_shop import shop_problem

CASES = Path(__file__).parents[2] / "cases" / "scheduling" / "shop.json"
WEEKS = {one["name"]: one for one in json.loads(CASES.read_text())["instances"]}
DAY = 96
SATURDAY = 5 * DAY
MONDAY = 7 * DAY


def one_car(**more):
    vehicle = {
        "id": "V0",
        "arrive": SATURDAY + 32,
        "prep": 4,
        "install": 4,
        "crew": 1,
        "cure": 2 * DAY - 20,
        "hold": False,
        "promise": SATURDAY + 52,
        "weight": 3,
    }
    return {
        "name": "one car",
        "people": {"ann": ["intake", "prep", "install", "inspect"]},
        "bays": {"desk": "intake", "wash": "prep", "bay": "install", "rack": "hold"},
        "absent": {},
        "days": 14,
        "vehicles": [vehicle | more],
    }


def planned(instance):
    problem = shop_problem(instance)
    plan = quick_plan(problem, seconds=0)
    assert violations(problem, plan) == ()
    return plan, real_axis_values(instance, plan.placed)


@pytest.mark.parametrize("name", WEEKS)
def test_a_plan_of_a_shop_week_holds_on_the_real_clock(name):
    plan, recount = planned(WEEKS[name])
    assert recount.troubles == ()
    assert (recount.late, recount.stay) == plan.first


@pytest.mark.parametrize("is_tight", [False, True])
def test_a_solved_plan_of_a_shop_week_holds_on_the_real_clock(is_tight):
    week = WEEKS["shop10-a"]
    cars = [
        {**one, "promise": one["promise"] - DAY * is_tight}
        for one in week["vehicles"][:5]
    ]
    instance = {**week, "vehicles": cars}
    problem = shop_problem(instance)
    asked = Settings(workers=1, deterministic=0.05, seconds=60.0, first_seconds=0.0)
    plan = solve(problem, asked)
    assert violations(problem, plan) == ()
    recount = real_axis_values(instance, plan.placed)
    assert recount.troubles == ()
    assert (recount.late, recount.stay) == tuple(one.value for one in plan.levels)
    assert bool(recount.late) is is_tight


def test_a_cure_that_ends_before_monday_misses_a_promise_at_saturdays_closing():
    plan, recount = planned(one_car())
    assert plan.by_key["V0.inspect"].end == 5 * 40 + 2 + 4 + 4 + 3
    assert recount.late == 3
    assert plan.first[0] == 3


def test_the_same_cure_keeps_a_promise_at_mondays_opening():
    plan, recount = planned(one_car(promise=MONDAY + 32))
    assert recount.late == plan.first[0] == 0


def test_a_promise_on_sunday_is_missed_on_monday_by_one_tick():
    plan, recount = planned(one_car(promise=MONDAY - 30))
    assert recount.late == plan.first[0] == 3


def test_a_car_on_a_rack_over_the_weekend_is_ready_on_monday():
    plan, recount = planned(one_car(hold=True))
    assert recount.troubles == ()
    assert plan.by_key["V0.cure"].end == 5 * 40 + 20
    assert recount.late == plan.first[0] == 3


def test_openings_of_the_instance_take_the_place_of_the_week():
    hours = [[day * DAY, day * DAY + 96] for day in range(20)]
    plan, recount = planned(one_car() | {"openings": hours})
    assert recount.troubles == ()
    assert plan.by_key["V0.intake"].start == SATURDAY + 32
    assert recount.late == plan.first[0] == 3 * (2 + 4 + 4 + 3 + 2 * DAY - 20 - 20)


def test_a_finer_clock_gives_a_plan_as_many_times_as_long():
    week = WEEKS["shop10-a"]
    hours = [
        [day * DAY + 32, day * DAY + (52 if day % 7 == 5 else 72)]
        for day in range(60)
        if day % 7 != 6
    ]
    coarse = {**week, "openings": hours, "intake": 2, "inspect": 3}
    timed = ("arrive", "prep", "install", "cure", "promise")
    fine = {
        **week,
        "openings": [[3 * a, 3 * b] for a, b in hours],
        "absent": {
            who: [[3 * a, 3 * b] for a, b in days]
            for who, days in week["absent"].items()
        },
        "intake": 6,
        "inspect": 9,
        "vehicles": [
            {key: 3 * value if key in timed else value for key, value in one.items()}
            for one in week["vehicles"]
        ],
    }
    plan, recount = planned(coarse)
    finer, recounted = planned(fine)
    assert recounted.troubles == ()
    assert (recounted.late, recounted.stay) == finer.first
    assert finer.first == tuple(3 * value for value in plan.first)


def test_the_recount_sees_what_the_plan_breaks():
    instance = one_car()
    plan, _ = planned(instance)
    moved = [
        type(one)(
            key=one.key,
            start=one.start + 45 * (one.key == "V0.prep"),
            end=one.end + 44 * (one.key == "V0.prep"),
            resources=one.resources,
        )
        for one in plan.placed
    ]
    troubles = real_axis_values(instance, moved).troubles
    assert "V0.prep takes 3, not 4" in troubles
    assert "V0.install begins too soon" in troubles
