"""A plan that is carried on keeps its bays and people."""

from __future__ import annotations

from jobs.plan.making import same_hands
from jobs.scheduling import Activity, Choice, Need, Placed, Problem, Resource, Span

WHO = Need(choices=(Choice(resource="a"), Choice(resource="b")))
BAY = Need(choices=(Choice(resource="bay-1"), Choice(resource="bay-2")))


def problem(*, closed: tuple[tuple[int, int], ...] = ()) -> Problem:
    names = ("b", "bay-1", "bay-2")
    return Problem(
        name="",
        horizon=40,
        activities=(Activity(key="lay", job="car", size=4, needs=(WHO,)),),
        spans=(Span(key="stay", first="lay", last="lay", need=BAY),),
        resources=(
            Resource(key="a", closed=closed),
            *(Resource(key=name) for name in names),
        ),
        previous=(
            Placed(key="lay", start=2, end=6, resources=("a",)),
            Placed(key="stay", start=2, end=6, resources=("bay-2",)),
        ),
    )


def test_who_served_serves_again_and_in_the_same_bay():
    held = same_hands(problem())
    assert held.activities[0].pinned == ("a",)
    assert held.spans[0].pinned == ("bay-2",)


def test_who_is_away_by_then_is_not_waited_for():
    assert same_hands(problem(closed=((5, 9),))).activities[0].pinned == ()
    assert same_hands(problem(closed=((6, 9),))).activities[0].pinned == ("a",)
