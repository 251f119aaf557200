"""What would help: the same jobs in a shop that has something more (pure).

Each change is a problem of its own, solved for lateness alone. Some are made here;
one more hour on a day is made by whoever knows the calendar.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from time import monotonic

from jobs.scheduling.alone import alone
from jobs.scheduling.problem import (
    Level,
    LevelResult,
    Problem,
    Run,
    Settings,
    late_after,
)
from jobs.scheduling.reach import dues_of
from jobs.scheduling.solver import solve


@dataclass(frozen=True, kw_only=True)
class Relief:
    """What one change does to lateness, in weighted ticks.

    before, after  the least lateness found without and with the change
    is_proven      no plan does better than `after`
    """

    name: str
    before: int
    after: int
    is_proven: bool

    @property
    def helps(self) -> bool:
        """Whether less is late."""
        return self.after < self.before


def reliefs(
    problem: Problem,
    changes: Mapping[str, Problem],
    settings: Settings | None = None,
    *,
    seconds: float = 10.0,
) -> tuple[Relief, ...]:
    """What each change would bring, the most helpful first.

    changes  by name, each the same jobs under another condition
    seconds  for all of them; those that time does not reach are left out
    """
    settings = settings or Settings()
    stop = monotonic() + seconds
    share = seconds / (len(changes) + 1)
    before = _late(problem, settings, share)
    found = []
    for name, changed in sorted(changes.items()):
        if before.value == 0 or monotonic() >= stop:
            break
        after = _late(changed, settings, min(share, stop - monotonic()))
        found.append(
            Relief(
                name=name,
                before=before.value,
                after=after.value,
                is_proven=after.is_proven,
            )
        )
    return tuple(sorted(found, key=lambda each: (each.after, each.name)))


def with_back(problem: Problem, resource: str) -> Problem:
    """A resource is there all the time."""
    return replace(
        problem,
        resources=tuple(
            replace(each, closed=()) if each.key == resource else each
            for each in problem.resources
        ),
    )


def with_later_promise(problem: Problem, job: str) -> Problem:
    """A job is promised for the earliest that it can be ready alone, if that is later.

    A promise that can be kept alone is given up: its job may take any time.
    """
    found = alone(problem, job)
    if found.is_impossible and found.ready is not None:
        table = late_after(found.ready)
    else:
        table = (Run(first=0, value=0, rise=0),)
    mine = dues_of(problem, job)
    return replace(
        problem,
        dues=tuple(
            replace(due, late_by_ready=table) if due in mine else due
            for due in problem.dues
        ),
    )


def _late(problem: Problem, settings: Settings, seconds: float) -> LevelResult:
    asked = replace(problem, levels=(Level.LATE,), previous=(), pairs=())
    plan = solve(asked, replace(settings, seconds=seconds, progress=None))
    return plan.levels[0]
