"""Closed forms of groups of equal machines: their bound needs no search."""

from __future__ import annotations

import pytest

from jobs.scheduling.problem import (
    Activity,
    Choice,
    Level,
    Link,
    Need,
    Problem,
    Resource,
    Settings,
)
from jobs.scheduling.solver import solve
from jobs.scheduling.workload import least_makespan

FOUR = tuple(Choice(resource=f"m{number}") for number in range(4))
MACHINES = tuple(Resource(key=choice.resource) for choice in FOUR)


def equal_jobs(count: int) -> Problem:
    return Problem(
        name="equal jobs",
        horizon=100,
        activities=tuple(
            Activity(key=f"j{n}", job=f"j{n}", size=1, needs=(Need(choices=FOUR),))
            for n in range(count)
        ),
        resources=MACHINES,
        levels=(Level.MAKESPAN,),
    )


@pytest.mark.parametrize(("count", "least"), [(1, 1), (4, 1), (16, 4), (17, 5)])
def test_equal_jobs_on_equal_machines_are_proven_by_counting(count, least):
    plan = solve(equal_jobs(count), Settings(workers=1, deterministic=0.5))
    assert (plan.levels[0].value, plan.levels[0].bound) == (least, least)


def test_what_comes_before_and_after_a_busy_machine_counts():
    one = (Need(choices=(Choice(resource="m0"),)),)
    problem = Problem(
        name="head and tail",
        horizon=100,
        activities=(
            *(Activity(key=f"before{n}", job=f"{n}", size=3) for n in range(3)),
            *(
                Activity(key=f"work{n}", job=f"{n}", size=5, needs=one)
                for n in range(3)
            ),
            *(Activity(key=f"after{n}", job=f"{n}", size=2) for n in range(3)),
        ),
        links=tuple(
            link
            for n in range(3)
            for link in (
                Link(before=f"before{n}", after=f"work{n}"),
                Link(before=f"work{n}", after=f"after{n}"),
            )
        ),
        resources=(Resource(key="m0"),),
        levels=(Level.MAKESPAN,),
    )
    heads = {f"before{n}": 0 for n in range(3)} | {f"work{n}": 3 for n in range(3)}
    heads |= {f"after{n}": 8 for n in range(3)}
    sizes = {one.key: one.size for one in problem.activities}
    assert least_makespan(problem, heads=heads, sizes=sizes) == 3 + 15 + 2
