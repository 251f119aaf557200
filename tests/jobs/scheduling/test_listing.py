"""The quick plan: always there, always sound."""

from dataclasses import replace

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from jobs.scheduling.checker import violations
from jobs.scheduling.listing import quick_plan
from tests.jobs.scheduling.problems_at_random import problems

LARGE = settings(suppress_health_check=list(HealthCheck), deadline=None)


@LARGE
@given(problems())
def test_every_quick_plan_passes_the_checker(problem):
    plan = quick_plan(problem, seconds=0)
    assert violations(problem, plan) == ()


@LARGE
@given(problems(), st.data())
def test_what_is_fixed_where_a_plan_has_it_stays_there(problem, data):
    plan = quick_plan(problem, seconds=0)
    keys = data.draw(st.sets(st.sampled_from([one.key for one in problem.activities])))
    fixed = replace(
        problem,
        activities=tuple(
            replace(
                one,
                fixed_start=plan.by_key[one.key].start,
                pinned=plan.by_key[one.key].resources,
            )
            if one.key in keys
            else one
            for one in problem.activities
        ),
    )
    again = quick_plan(fixed, seconds=0)
    assert violations(fixed, again) == ()
