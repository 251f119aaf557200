"""The search for a better plan: how long, what is told of it, when it stops (pure)."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Protocol

from jobs.plan.making import Search
from jobs.scheduling import solve
from jobs.scheduling.problem import Plan, Problem, Progress, Settings

FEW_CARS, FEW_S = 15, 10.0
SOME_CARS, SOME_S = 40, 30.0
MANY_S = 60.0
"""A search of so many cars takes so long at most, s."""
CLASHES_S = 10.0
"""So long after it, at most, is looked for the cars that cannot all be in time."""
LIMIT_S = 120
"""What is left of it after that is lost: the worker is wanted for other work."""


class Work(Protocol):
    """A background task that is told how far it is, and asked whether to stop."""

    def tell(self, **progress: object) -> None:
        """Keep how far it is."""

    def is_cancelled(self) -> bool:
        """Whether somebody asked it to stop."""


def seconds_for(cars: int) -> float:
    """How long a search of so many cars takes at most.

    >>> [seconds_for(cars) for cars in (15, 16, 41)]
    [10.0, 30.0, 60.0]
    """
    if cars <= FEW_CARS:
        return FEW_S
    return SOME_S if cars <= SOME_CARS else MANY_S


def search_for(
    work: Work,
    *,
    clock: Callable[[], float],
    settings: Settings | None = None,
) -> Search:
    """A search that tells its task how far it is, and stops when it is asked to.

    Stopped, or out of time, it answers with the best plan that it has.
    clock     seconds that only go up
    settings  for tests: how long and how, whatever the number of cars
    """

    def search(problem: Problem) -> Plan:
        began = clock()
        limit_s = seconds_for(len(problem.dues))

        def progress(now: Progress) -> None:
            work.tell(
                level=now.level.value,
                value=now.value,
                bound=now.bound,
                seconds=round(clock() - began, 1),
            )

        def is_over() -> bool:
            return clock() - began > limit_s or work.is_cancelled()

        known = settings or Settings(seconds=limit_s)
        return solve(problem, replace(known, progress=progress, cancelled=is_over))

    return search
