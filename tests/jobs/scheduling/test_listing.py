"""The quick plan: always there, always sound."""

from dataclasses import replace

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from jobs.scheduling.checker import violations
from jobs.scheduling.listing import quick_plan
from jobs.scheduling.problem import (
    Activity,
    Choice,
    Due,
    Level,
    Link,
    Need,
    Pair,
    Problem,
    Resource,
    Span,
    Status,
    late_after,
)
from tests.jobs.scheduling.problems_at_random import problems

LARGE = settings(
    max_examples=40, suppress_health_check=list(HealthCheck), deadline=None
)


@LARGE
@given(problems())
def test_every_quick_plan_passes_the_checker(problem):
    plan = quick_plan(problem, seconds=0)
    assert violations(problem, plan) == ()


@LARGE
@given(problems(), st.data())
def test_what_is_fixed_where_the_plan_in_force_has_it_stays_there(problem, data):
    plan = quick_plan(problem, seconds=0)
    keys = data.draw(st.sets(st.sampled_from([one.key for one in problem.activities])))
    pins = data.draw(st.booleans())
    fixed = replace(
        problem,
        previous=plan.placed,
        activities=tuple(
            replace(
                one,
                fixed_start=plan.by_key[one.key].start,
                pinned=plan.by_key[one.key].resources if pins else one.pinned,
            )
            if one.key in keys
            else one
            for one in problem.activities
        ),
    )
    again = quick_plan(fixed, seconds=0)
    assert violations(fixed, again) == ()


@LARGE
@given(problems(levels=(Level.CHANGE, Level.LATE)))
def test_its_own_plan_in_force_is_not_changed(problem):
    plan = quick_plan(replace(problem, previous=()), seconds=0)
    again = quick_plan(replace(problem, previous=plan.placed), seconds=0)
    assert again.first[0] == 0
    assert again.placed == plan.placed


@LARGE
@given(problems(), st.randoms())
def test_the_order_of_lists_changes_nothing(problem, random):
    other = replace(
        problem,
        activities=tuple(random.sample(problem.activities, len(problem.activities))),
        resources=tuple(random.sample(problem.resources, len(problem.resources))),
        links=tuple(random.sample(problem.links, len(problem.links))),
        spans=tuple(random.sample(problem.spans, len(problem.spans))),
    )
    plan = quick_plan(problem, seconds=0)
    again = quick_plan(other, seconds=0)
    assert (again.placed, again.problem_hash) == (plan.placed, plan.problem_hash)


def served_by(*names, **more):
    return Need(choices=tuple(Choice(resource=name) for name in names), **more)


ANYBODY = served_by("ann", "bob", "cas", "dot", count=2)


def cars(count, **more):
    """Each is washed and laid in one bay, the bay held from wash to end."""
    activities, links, spans, dues, pairs = [], [], [], [], []
    for number in range(count):
        job = f"car{number}"
        wash, lay = f"{job} wash", f"{job} lay"
        activities += [
            Activity(key=wash, job=job, size=2, needs=(served_by("ann", "bob"),)),
            Activity(key=lay, job=job, size=6, needs=(served_by("bob", "ann"),)),
        ]
        links.append(Link(before=wash, after=lay))
        need = served_by("bay1", "bay2")
        spans.append(Span(key=f"{job} bay", first=wash, last=lay, need=need))
        dues.append(
            Due(activity=lay, since=wash, late_by_ready=late_after(8 + 8 * number))
        )
        pairs.append(Pair(before=wash, after=lay))
    resources = [Resource(key=name) for name in ("ann", "bob", "bay1", "bay2")]
    return Problem(
        name="cars",
        horizon=10 * count,
        activities=tuple(activities),
        links=tuple(links),
        resources=tuple(resources),
        spans=tuple(spans),
        dues=tuple(dues),
        pairs=tuple(pairs),
        **{"levels": (Level.LATE, Level.STAY), **more},
    )


def test_a_bay_holds_one_car_from_its_first_step_to_its_last():
    problem = cars(6)
    plan = quick_plan(problem, seconds=0)
    assert violations(problem, plan) == ()
    for bay in ("bay1", "bay2"):
        held = sorted(
            (one.start, one.end) for one in plan.placed if one.resources == (bay,)
        )
        assert len(held) == 3
        assert all(
            one[1] <= other[0] for one, other in zip(held, held[1:], strict=False)
        )


def test_the_same_hands_go_on_with_a_car():
    plan = quick_plan(cars(4), seconds=0)
    for number in range(4):
        wash, lay = (plan.by_key[f"car{number} {step}"] for step in ("wash", "lay"))
        assert wash.resources == lay.resources
    assert plan.levels[0].status is Status.OPTIMAL


def test_with_one_bay_cars_go_in_the_order_of_their_promises():
    one_bay = cars(5)
    one_bay = replace(
        one_bay,
        spans=tuple(
            replace(one, pinned=("bay1",), need=served_by("bay1"))
            for one in one_bay.spans
        ),
    )
    plan = quick_plan(one_bay, seconds=0)
    assert plan.first[0] == 0
    ends = [plan.by_key[f"car{number} lay"].end for number in range(5)]
    assert ends == [8, 16, 24, 32, 40]


def test_a_begun_car_keeps_its_bay_and_goes_on_before_a_car_fixed_for_later():
    problem = cars(2)
    begun, later = problem.spans
    activities = {
        "car0 wash": {"fixed_start": 0},
        "car1 wash": {"fixed_start": 9},
    }
    problem = replace(
        problem,
        activities=tuple(
            replace(one, **activities.get(one.key, {})) for one in problem.activities
        ),
        spans=(
            replace(begun, pinned=("bay2",)),
            replace(later, pinned=("bay2",)),
        ),
    )
    plan = quick_plan(problem, seconds=0)
    assert violations(problem, plan) == ()
    assert plan.by_key["car0 bay"].end <= 9


def test_what_a_fixed_step_waits_for_is_done_just_before_it():
    problem = cars(1)
    wash, lay = problem.activities
    fixed = replace(problem, activities=(wash, replace(lay, fixed_start=30)))
    plan = quick_plan(fixed, seconds=0)
    assert plan.by_key["car0 wash"].start == 28
    assert plan.by_key["car0 bay"].start == 28


def test_when_somebody_is_away_only_what_was_theirs_moves():
    problem = cars(6)
    plan = quick_plan(problem, seconds=0)
    again = replace(
        problem,
        levels=(Level.CHANGE, Level.LATE, Level.STAY),
        previous=plan.placed,
        resources=tuple(
            replace(one, closed=((26, 200),)) if one.key == "ann" else one
            for one in problem.resources
        ),
    )
    moved = quick_plan(again, seconds=0)
    assert violations(again, moved) == ()
    for one in plan.placed:
        if one.end <= 24:
            assert moved.by_key[one.key] == one


def test_more_work_than_the_horizon_holds_is_planned_past_it():
    problem = replace(cars(30), horizon=40)
    plan = quick_plan(problem, seconds=0)
    assert violations(problem, plan) == ()
    assert max(one.end for one in plan.placed) > 40


def test_an_empty_problem_has_an_empty_plan():
    plan = quick_plan(Problem(name="none", horizon=0, activities=()), seconds=0)
    assert plan.placed == ()
    assert plan.first == (0,)


def test_noise_never_makes_it_worse_and_is_the_same_each_time():
    problem = cars(6, levels=(Level.MAKESPAN,))
    rules = quick_plan(problem, seconds=0)
    longer = quick_plan(problem, seconds=0.02)
    assert longer.first <= rules.first
    assert quick_plan(problem, seconds=0).placed == rules.placed


def test_two_needs_before_a_fixed_step_may_want_the_same_hands():
    first = Activity(
        key="a",
        job="car",
        size=4,
        needs=(served_by("ann", "bob"), served_by("bob", "cas")),
    )
    then = Activity(key="b", job="car", size=2, fixed_start=20)
    away = {"ann": ((14, 99),), "cas": ((16, 99),)}
    problem = Problem(
        name="both want bob",
        horizon=40,
        activities=(first, then),
        links=(Link(before="a", after="b"),),
        resources=tuple(
            Resource(key=name, closed=away.get(name, ()))
            for name in ("ann", "bob", "cas")
        ),
    )
    plan = quick_plan(problem, seconds=0)
    assert violations(problem, plan) == ()
    assert plan.by_key["a"].end == 16


def test_hands_that_a_later_step_cannot_do_without_are_left_to_it():
    pinned = [
        Activity(key="look", job="one", size=1, needs=(ANYBODY,), fixed_start=21),
        Activity(
            key="lay",
            job="two",
            size=6,
            needs=(served_by("ann", "dot", count=2),),
        ),
        Activity(key="end", job="two", size=1, fixed_start=27),
    ]
    problem = Problem(
        name="only two are left",
        horizon=40,
        activities=tuple(pinned),
        links=(Link(before="lay", after="end"),),
        resources=tuple(
            Resource(key=name, closed=((0, 21),) if name in ("ann", "dot") else ())
            for name in ("ann", "bob", "cas", "dot")
        ),
    )
    plan = quick_plan(problem, seconds=0)
    assert violations(problem, plan) == ()
    assert plan.by_key["look"].resources == ("bob", "cas")


def test_what_keeps_every_promise_where_it_was_stays_there():
    problem = cars(3)
    plan = quick_plan(problem, seconds=0)
    later = tuple(
        replace(one, start=one.start + 40, end=one.end + 40) for one in plan.placed
    )
    relaxed = replace(
        problem,
        levels=(Level.LATE, Level.CHANGE),
        previous=later,
        dues=tuple(replace(one, late_by_ready=late_after(100)) for one in problem.dues),
    )
    assert quick_plan(relaxed, seconds=0).first == (0, 0)
