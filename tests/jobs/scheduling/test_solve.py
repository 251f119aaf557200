"""What `solve` promises to whoever calls it."""

import subprocess
import sys
from dataclasses import replace
from itertools import product
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from jobs.scheduling import (
    Activity,
    FaultyPlanError,
    Level,
    LevelResult,
    Link,
    NoPlanError,
    Placed,
    Plan,
    Problem,
    Resource,
    Run,
    Settings,
    Span,
    Status,
    quick_plan,
    solve,
    solver,
)
from jobs.scheduling.checker import violations
from jobs.scheduling.problem import Due, Pair, late_after
from jobs.scheduling.values import level_values
from tests.bench.scheduling_instances import CASES, read_instances
from tests.jobs.scheduling.floors import TESTED, need, one_bay, proven, shop, values
from tests.jobs.scheduling.problems_at_random import problems

ROOT = Path(__file__).resolve().parents[3]


def instance(kind, name):
    found, _ = read_instances(CASES / f"{kind}.json")
    return next(each.problem for each in found if each.name == name)


@settings(max_examples=25, deadline=None, suppress_health_check=list(HealthCheck))
@given(problems())
def test_a_plan_is_sound_and_never_worse_than_the_quick_one(problem):
    try:
        first = quick_plan(problem, seconds=0)
    except NoPlanError:
        return
    plan = solve(problem, replace(TESTED, deterministic=0.3))
    assert violations(problem, plan) == ()
    assert values(plan) <= values(first)
    assert plan.first == values(first)


CURE = (Run(first=0, value=2, rise=0), Run(first=3, value=5, rise=1))


@st.composite
def two_or_three(draw):
    """Activities of a few ticks: one may be pinned, one may be of no length."""
    pinned = draw(st.sampled_from([(), ("ann",)]))
    count = draw(st.integers(1, 2))
    free = Activity(key="a", job="v", size=draw(st.integers(0, 2)))
    hers = Activity(
        key="a", job="v", size=1, needs=(need("ann", "bob"),), pinned=pinned
    )
    return (
        hers if pinned else free,
        Activity(
            key="b",
            job="v",
            size=draw(st.integers(1, 3)),
            needs=(need("ann", "bob", count=count),),
            end_by_start=draw(st.sampled_from([None, CURE])),
        ),
        Activity(key="c", job="w", size=2, needs=(need("bob", "ann"),)),
    )


@st.composite
def tiny(draw):
    """A few activities with a bit of everything."""
    shut = draw(st.sampled_from([(), ((1, 2),), ((3, 5),)]))
    table = draw(st.sampled_from([None, CURE]))
    return Problem(
        name="tiny",
        horizon=7,
        activities=draw(two_or_three()),
        links=(
            Link(
                before="a", after="b", lag=draw(st.integers(0, 1)), start_by_end=table
            ),
        ),
        resources=(
            Resource(key="ann", closed=shut),
            Resource(key="bob"),
            Resource(key="bay", closed=draw(st.sampled_from([(), ((4, 5),)]))),
            Resource(key="lift"),
        ),
        spans=(
            Span(key="held", first="a", last="b", need=need("bay", "lift")),
            Span(key="held too", first="c", last="c", need=need("bay")),
        ),
        dues=(
            Due(
                activity="b",
                since="a",
                late_by_ready=late_after(draw(st.integers(0, 4))),
                weight=2,
                ready_by_end=draw(st.sampled_from([None, CURE])),
            ),
        ),
        pairs=(Pair(before="b", after="c"),),
        levels=tuple(draw(st.permutations(list(Level)))),
        previous=(Placed(key="c", start=3, end=5, resources=("ann",)),),
    )


def every_plan(problem):
    """All that could be a plan: each start with each choice of who serves."""
    length = {each.key: each for each in problem.activities}
    who = {
        "a": [("ann",)] if length["a"].needs else [()],
        "b": [("ann", "bob")]
        if length["b"].needs[0].count == 2
        else [("ann",), ("bob",)],
        "c": [("ann",), ("bob",)],
        "held": [("bay",), ("lift",)],
    }
    for a, b, c in product(range(problem.horizon + 1), repeat=3):
        starts = {"a": a, "b": b, "c": c}
        ends = {key: end_of(length[key], start) for key, start in starts.items()}
        if max(ends.values()) > problem.horizon:
            continue
        for chosen in product(*who.values()):
            placed = [
                Placed(key=key, start=starts[key], end=ends[key], resources=serving)
                for key, serving in zip("abc", chosen, strict=False)
            ]
            placed.append(
                Placed(key="held", start=a, end=ends["b"], resources=chosen[3])
            )
            placed.append(
                Placed(key="held too", start=c, end=ends["c"], resources=("bay",))
            )
            yield tuple(placed)


def end_of(activity, start):
    runs = activity.end_by_start
    if runs is None:
        return start + activity.size
    run = [each for each in runs if each.first <= start][-1]
    return run.value + run.rise * (start - run.first)


def is_plan(problem, placed):
    levels = tuple(
        LevelResult(level=level, value=value, bound=None, status=Status.FEASIBLE)
        for level, value in zip(
            problem.levels, level_values(problem, placed), strict=True
        )
    )
    return not violations(problem, Plan(placed=placed, levels=levels, origin="all"))


@settings(max_examples=12, deadline=None, suppress_health_check=list(HealthCheck))
@given(tiny())
def test_no_plan_at_all_is_better_than_the_proven_one(problem):
    ranked = sorted(every_plan(problem), key=lambda each: level_values(problem, each))
    best = next((each for each in ranked if is_plan(problem, each)), None)
    plan = proven(problem)
    # Where hardly anything fits the plan runs past the horizon; those are not counted.
    if max(each.end for each in plan.placed) <= problem.horizon:
        assert values(plan) == level_values(problem, best)


def test_with_one_worker_the_same_problem_gets_the_same_plan():
    problem = instance("jsp", "la03")
    runs = [solve(problem, replace(TESTED, deterministic=0.2)) for _ in range(2)]
    assert runs[0].placed == runs[1].placed
    assert values(runs[0]) == values(runs[1])
    assert runs[0].levels[0].bound == runs[1].levels[0].bound


def test_a_search_that_is_called_off_stops_and_keeps_what_it_has():
    problem = instance("fjsp", "mk10")
    plan = solve(problem, Settings(workers=1, first_seconds=0, cancelled=lambda: True))
    assert plan.cancelled
    assert not plan.levels[0].is_proven
    assert plan.levels[0].seconds < 8
    assert violations(problem, plan) == ()


def test_a_search_tells_how_far_it_is_from_the_callers_own_thread():
    told = []
    stop = []

    def hear(progress):
        told.append(progress)
        stop.append(True)

    solve(
        instance("fjsp", "mk10"),
        Settings(
            workers=1, first_seconds=0, progress=hear, cancelled=lambda: bool(stop)
        ),
    )
    assert told[0].level is Level.MAKESPAN
    assert told[0].bound is None or told[0].bound <= 193


def test_without_the_engine_the_quick_plan_stands(monkeypatch):
    def missing():
        raise ImportError("no engine here")

    monkeypatch.setattr(solver, "engine", missing)
    problem = instance("jsp", "la03")
    plan = solve(problem, replace(TESTED, seconds=5))
    assert plan.placed == quick_plan(problem, seconds=0, seed=TESTED.seed).placed
    assert plan.levels[0].status is Status.FEASIBLE
    assert plan.origin != "solver"


def test_without_time_the_quick_plan_stands():
    problem = instance("jsp", "la03")
    plan = solve(problem, replace(TESTED, seconds=0))
    assert plan.origin != "solver"
    assert plan.levels[0].status is Status.FEASIBLE


def test_what_cannot_be_is_said_and_not_searched():
    problem = one_bay({"a": 3, "b": 3})
    fixed = tuple(replace(each, fixed_start=2) for each in problem.activities)
    with pytest.raises(NoPlanError):
        solve(replace(problem, activities=fixed), TESTED)


def test_a_plan_that_the_second_opinion_refuses_is_not_handed_out(monkeypatch):
    monkeypatch.setattr(solver, "violations", lambda *_: ("bay is taken twice at 3",))
    with pytest.raises(FaultyPlanError, match="bay is taken twice"):
        solve(one_bay({"a": 3}), TESTED)


@pytest.mark.parametrize("horizon", [3, 7, 100])
def test_however_near_the_horizon_there_is_a_plan(horizon):
    problem = one_bay({"a": 3, "b": 4}, horizon=horizon)
    assert max(each.end for each in proven(problem).placed) == 7


def test_a_bay_is_held_between_the_stages_of_one_car():
    """The car waits for its only installer; no other car gets into its bay."""
    problem = shop([(0, 2, 4, 30, 1), (0, 2, 4, 30, 1)], bays=1, people=1)
    held = tuple(
        Span(
            key=f"car {at} in bay",
            first=f"car {at} prep",
            last=f"car {at} install",
            need=need("bay 0"),
        )
        for at in range(2)
    )
    bare = tuple(
        replace(each, needs=(need("person 0"),)) for each in problem.activities
    )
    plan = proven(replace(problem, activities=bare, spans=held))
    first, then = sorted(
        (plan.by_key[f"car {at} in bay"] for at in range(2)),
        key=lambda each: each.start,
    )
    assert first.end <= then.start


def test_the_front_door_loads_no_engine():
    code = "import sys, jobs.scheduling\n"
    code += "sys.exit('ortools' in sys.modules or 'numpy' in sys.modules)"
    done = subprocess.run([sys.executable, "-c", code], cwd=ROOT, check=False)
    assert done.returncode == 0


def test_the_core_knows_no_reader_of_instances():
    for path in (ROOT / "jobs" / "scheduling").glob("*.py"):
        text = path.read_text()
        assert "from tests" not in text
        assert "import tests" not in text
        assert "benchmark" not in text


def test_what_is_fixed_to_the_same_tick_is_searched_like_all_else():
    jobs = [Activity(key=name, job=name, size=2, needs=(need("bay"),)) for name in "ab"]
    marks = [Activity(key=f"{n} is here", job=n, size=0, fixed_start=0) for n in "ab"]
    dues = tuple(
        Due(activity=n, since=f"{n} is here", late_by_ready=late_after(9)) for n in "ab"
    )
    problem = Problem(
        name="two that are here",
        horizon=20,
        activities=(*jobs, *marks),
        resources=(Resource(key="bay"),),
        dues=dues,
        levels=(Level.STAY,),
    )
    found = solve(problem, TESTED)
    assert [each.status for each in found.levels] == [Status.OPTIMAL]
    assert found.levels[0].value == 2 + 4 + 4
