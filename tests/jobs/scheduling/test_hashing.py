"""One hash for one problem, another for any other."""

from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st

from jobs.scheduling.hashing import problem_hash
from jobs.scheduling.problem import Level
from tests.jobs.scheduling.problems_at_random import problems

FEW = settings(max_examples=25, deadline=None)


@FEW
@given(problems(), st.randoms())
def test_the_order_of_lists_and_the_name_do_not_count(problem, random):
    def mixed(items):
        return tuple(random.sample(items, len(items)))

    other = replace(
        problem,
        name="another",
        activities=mixed(
            [
                replace(
                    one,
                    needs=tuple(
                        replace(need, choices=mixed(need.choices)) for need in one.needs
                    ),
                )
                for one in problem.activities
            ]
        ),
        links=mixed(problem.links),
        resources=mixed(problem.resources),
        spans=mixed(problem.spans),
        dues=mixed(problem.dues),
        pairs=mixed(problem.pairs),
        previous=mixed(problem.previous),
    )
    assert problem_hash(other) == problem_hash(problem)


@FEW
@given(problems())
def test_whatever_says_something_changes_the_hash(problem):
    first = problem.activities[0]
    others = [
        replace(problem, horizon=problem.horizon + 1),
        replace(problem, swap_cost=9),
        replace(problem, levels=(Level.STAY, Level.LATE)),
        replace(problem, levels=(Level.LATE,)),
        replace(problem, dues=problem.dues[1:]),
        replace(
            problem,
            activities=(replace(first, size=first.size + 1), *problem.activities[1:]),
        ),
        replace(
            problem,
            activities=(replace(first, fixed_start=3), *problem.activities[1:]),
        ),
        replace(
            problem,
            resources=(
                replace(problem.resources[0], closed=((70, 80),)),
                *problem.resources[1:],
            ),
        ),
    ]
    hashes = {problem_hash(one) for one in (problem, *others)}
    assert len(hashes) == len(others) + 1
