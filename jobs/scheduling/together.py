"""Promises of which each can be kept, but not all of them together (pure).

Promises are hard here and nowhere else. What is missed even alone is left out first.
Of the rest a set that cannot hold is looked for: by counting room, else by asking the
engine which of its assumptions it needed. Members are then dropped one by one, and
stay away if what is left still cannot hold: what remains is minimal.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from time import monotonic
from typing import Any

from jobs.scheduling.alone import late_alone
from jobs.scheduling.bottleneck import bottlenecks
from jobs.scheduling.build import Built, build
from jobs.scheduling.engine import engine
from jobs.scheduling.listing import quick_plan
from jobs.scheduling.problem import NoPlanError, Plan, Problem, Settings
from jobs.scheduling.reach import (
    dues_of,
    earliest,
    last_in_time,
    only,
    promised_jobs,
)
from jobs.scheduling.ready_check import faults

HANDFUL = 6
"""More than so many say nothing to anybody."""
FIRST_SHARE = 0.6
"""Of the time, for whether all can hold."""
TEST_SECONDS = 3.0
"""For each question after it."""


@dataclass(frozen=True, kw_only=True)
class Clash:
    """Promises that cannot hold together.

    jobs          sorted; none when it is not known whether all can hold
    is_minimal    proven: each of them can be kept if any one other is given up
    is_undecided  there is nothing to say: no proof in time, or more than a handful
    """

    jobs: tuple[str, ...]
    is_minimal: bool
    is_undecided: bool


NOT_KNOWN = Clash(jobs=(), is_minimal=False, is_undecided=True)


def clashing(
    problem: Problem,
    settings: Settings | None = None,
    *,
    plan: Plan | None = None,
    seconds: float = 10.0,
) -> Clash | None:
    """A small set of promises that cannot hold together; None: all can.

    plan  the best in hand, if there is one: what it keeps can be kept

    Jobs that can wait until all promises have passed are taken to do so. NoPlanError
    where nothing fits at all. `cancelled` is asked between two questions.
    """
    settings = settings or Settings()
    if wrong := faults(problem):
        raise NoPlanError(wrong)
    hopeless = {one.job for one in late_alone(problem)}
    jobs = tuple(job for job in promised_jobs(problem) if job not in hopeless)
    kept = _kept(problem, plan or _listed(problem, settings))
    if kept.issuperset(jobs):
        return None
    return _Questions(problem, jobs, settings, kept=kept, seconds=seconds).clash()


def _listed(problem: Problem, settings: Settings) -> Plan | None:
    """The first answer."""
    seconds = settings.first_seconds if settings.deterministic is None else 0.0
    try:
        return quick_plan(problem, seconds=seconds, seed=settings.seed)
    except NoPlanError:
        return None


def _kept(problem: Problem, plan: Plan | None) -> frozenset[str]:
    """Jobs whose promises a plan keeps."""
    if plan is None:
        return frozenset()
    return frozenset(
        job
        for job in promised_jobs(problem)
        if all(
            due.activity in plan.by_key and not due.late(plan.by_key[due.activity].end)
            for due in dues_of(problem, job)
        )
    )


class _Questions:
    """Questions to the engine about sets of promises, within one budget of time."""

    def __init__(
        self,
        problem: Problem,
        jobs: tuple[str, ...],
        settings: Settings,
        *,
        kept: frozenset[str],
        seconds: float,
    ) -> None:
        self.problem, self.jobs, self.settings = problem, jobs, settings
        self.kept, self.stop = [kept], monotonic() + seconds
        self.ends: dict[str, int] = {}
        for due in problem.dues:
            end = last_in_time(due, problem.horizon)
            self.ends[due.activity] = min(end, self.ends.get(due.activity, end))
        self.firm = _cannot_wait(problem, max(self.ends[key] for key in self._of(jobs)))

    def clash(self) -> Clash | None:
        """The answer, as small as the time allows."""
        known = self._counted()
        try:
            if not known:
                first = FIRST_SHARE * (self.stop - monotonic())
                holds = self.holds(self.jobs, seconds=first)
                if holds is not False:
                    return None if holds else NOT_KNOWN
            some = self._needed(known or self.jobs)
            found, is_minimal = self._dropped(some)
        except ImportError:
            found, is_minimal = known, False
        if not 0 < len(found) <= HANDFUL:
            return NOT_KNOWN
        return Clash(
            jobs=tuple(sorted(found)), is_minimal=is_minimal, is_undecided=False
        )

    def holds(
        self, jobs: Collection[str], *, seconds: float = TEST_SECONDS
    ) -> bool | None:
        """Whether these promises can hold together; None: not known in time."""
        if any(kept.issuperset(jobs) for kept in self.kept):
            return True
        built = self._built(jobs)
        for key in self._of(jobs):
            built.model.add(built.times[key].end <= self.ends[key])
        status = self._solve(built.model, self.settings.workers, seconds)[0]
        if status == engine().INFEASIBLE:
            return False
        if status in (engine().OPTIMAL, engine().FEASIBLE):
            self.kept.append(frozenset(jobs))
            return True
        return None

    def _counted(self) -> tuple[str, ...]:
        """A set that cannot hold by counting room, the smallest; () if none does."""
        found = [
            tuple(job for job in each.jobs if job in self.jobs)
            for each in bottlenecks(self.problem, self.jobs)
        ]
        return min(found, key=len, default=())

    def _needed(self, jobs: tuple[str, ...]) -> tuple[str, ...]:
        """Those that the engine needed to see that they cannot hold; else all."""
        built, asked = self._built(jobs), dict[int, str]()
        for job in jobs:
            kept = built.model.new_bool_var(f"kept {job}")
            asked[kept.index] = job
            for key in self._of((job,)):
                in_time = built.model.add(built.times[key].end <= self.ends[key])
                in_time.only_enforce_if(kept)
            built.model.add_assumption(kept)
        status, solver = self._solve(built.model, 1, TEST_SECONDS)
        if status != engine().INFEASIBLE:
            return jobs
        needed = solver.sufficient_assumptions_for_infeasibility()
        return tuple(asked[index] for index in needed if index in asked) or jobs

    def _dropped(self, jobs: tuple[str, ...]) -> tuple[tuple[str, ...], bool]:
        """What stays after each has been dropped in turn; whether all was decided."""
        left, sure = list(jobs), True
        for job in jobs:
            rest = [each for each in left if each != job]
            holds = self.holds(rest) if rest else True
            if holds is False:
                left = rest
            sure = sure and holds is not None
        return tuple(left), sure

    def _built(self, jobs: Collection[str]) -> Built:
        small = only(self.problem, {*jobs, *self.firm})
        return build(small, latest=small.horizon)

    def _solve(self, model: Any, workers: int, seconds: float) -> tuple[Any, Any]:
        solver = engine().CpSolver()
        left = min(seconds, self.stop - monotonic())
        if left <= 0 or (self.settings.cancelled and self.settings.cancelled()):
            return engine().UNKNOWN, solver
        parameters = solver.parameters
        parameters.num_workers = workers
        parameters.random_seed = self.settings.seed
        parameters.max_time_in_seconds = left
        if self.settings.deterministic is not None:
            parameters.max_deterministic_time = self.settings.deterministic
        return solver.solve(model), solver

    def _of(self, jobs: Collection[str]) -> list[str]:
        """The activities at whose ends these promises are kept."""
        return [
            due.activity for job in sorted(jobs) for due in dues_of(self.problem, job)
        ]


def _cannot_wait(problem: Problem, until: int) -> frozenset[str]:
    """Jobs that cannot begin after that tick: started, fixed, or no room later."""
    return frozenset(
        job
        for job in sorted({each.job for each in problem.activities})
        if earliest(only(problem, (job,)), not_before=until) is None
    )
