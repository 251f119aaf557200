"""What would help, measured by solving again."""

from __future__ import annotations

from hypothesis import given, settings

from jobs.scheduling.problem import Settings
from jobs.scheduling.relief import Relief, reliefs, with_back, with_later_promise
from tests.jobs.scheduling.why_shop import Car, crowded_shops, shop

QUIET = Settings(workers=1, deterministic=1.0, seconds=20.0)


def test_somebody_who_comes_back_helps_and_another_bay_does_not():
    cars = [
        Car(key=key, promise=10, people=("ann", "bob"), bays=(f"bay {key}",))
        for key in "AB"
    ]
    problem = shop(*cars, closed={"ann": [(0, 40)]})
    changes = {
        "bay open": with_back(problem, "bay A"),
        "ann back": with_back(problem, "ann"),
    }
    first, second = reliefs(problem, changes, QUIET)
    assert first == Relief(name="ann back", before=10, after=0, is_proven=True)
    assert (second.name, second.after, second.helps) == ("bay open", 10, False)


def test_where_nothing_is_late_nothing_is_tried():
    problem = shop(Car(key="A", promise=20))
    assert reliefs(problem, {"same": problem}, QUIET) == ()


def test_a_promise_moved_to_the_earliest_is_late_no_more():
    problem = shop(Car(key="A", promise=4))
    (found,) = reliefs(problem, {"later": with_later_promise(problem, "A")}, QUIET)
    assert (found.before, found.after) == (6, 0)


def test_a_promise_given_up_lets_the_other_be_kept():
    problem = shop(Car(key="A", promise=10), Car(key="B", promise=10))
    (found,) = reliefs(problem, {"later": with_later_promise(problem, "A")}, QUIET)
    assert (found.before, found.after) == (10, 0)


def test_without_time_nothing_is_tried():
    problem = shop(Car(key="A", promise=4))
    assert reliefs(problem, {"same": problem}, QUIET, seconds=0) == ()


@settings(max_examples=10, deadline=None)
@given(crowded_shops())
def test_nobody_who_comes_back_makes_it_worse(problem):
    changes = {each.key: with_back(problem, each.key) for each in problem.resources}
    for found in reliefs(problem, changes, QUIET, seconds=60):
        assert found.after <= found.before
