"""A job alone in the empty shop: whether its promise can be kept at all (pure).

Its own activities, links, spans and pins stay, and everybody's absences and openings;
all other jobs are gone. No plan of the whole shop can have it ready earlier.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import pairwise

from jobs.scheduling.listing import quick_plan
from jobs.scheduling.problem import (
    Due,
    Level,
    LevelResult,
    NoPlanError,
    Placed,
    Plan,
    Problem,
    Run,
    Settings,
    look_up,
)
from jobs.scheduling.reach import (
    Reach,
    counted_spans,
    held_by,
    marks,
    only,
    promised_jobs,
    ways,
)
from jobs.scheduling.ready_check import in_order
from jobs.scheduling.solver import solve

FROM_THE_FIRST_TICK = (Run(first=0, value=0, rise=1),)
SEARCH = Settings(workers=1, seconds=10.0, deterministic=1.0)
"""For the rare job whose own stages stand in each other's way: milliseconds."""


@dataclass(frozen=True, kw_only=True)
class Alone:
    """The best that a job could have.

    steps     its activities in the order of time, each as early as can be
    activity  the one whose end is promised; "" without a promise
    ready     the earliest tick; None: there is no room for it at all
    late      ticks after the promise at the least; None: no room at all
    is_exact  whether there is a way to be ready then, and not only none before
    """

    job: str
    steps: tuple[Placed, ...]
    activity: str
    ready: int | None
    late: int | None
    is_exact: bool

    @property
    def is_impossible(self) -> bool:
        """Whether the promise is missed even so."""
        return self.late is None or self.late > 0


def alone(problem: Problem, job: str, *, with_engine: bool = True) -> Alone:
    """The earliest that a job can be ready if no other were there.

    with_engine  ask it where the job's own stages stand in each other's way; without
                 it `ready` is then a bound, and `is_impossible` as certain

    Of several promises the one that is missed most counts. ValueError for a job
    without one.
    """
    small = only(problem, (job,))
    if not small.dues:
        raise ValueError(f"nothing is promised for {job}")
    found = [_for_due(small, job, due, with_engine) for due in small.dues]
    return max(found, key=lambda one: (one.late is None, one.late or 0))


def late_alone(problem: Problem) -> tuple[Alone, ...]:
    """Those promises that are missed even alone, sorted by job."""
    found = (alone(problem, job) for job in promised_jobs(problem))
    return tuple(one for one in found if one.is_impossible)


def _for_due(small: Problem, job: str, due: Due, with_engine: bool) -> Alone:
    found = min(
        ways(small), key=lambda way: due.ready(way[due.activity].end), default=None
    )
    if found is None:
        return _no_room(job, due)
    end = found[due.activity].end
    known = Alone(
        job=job,
        steps=_steps(found),
        activity=due.activity,
        ready=due.ready(end),
        late=due.late(end),
        is_exact=is_simple(small),
    )
    return known if known.is_exact else _searched(small, due, known, with_engine)


def _steps(found: dict[str, Reach]) -> tuple[Placed, ...]:
    placed = (Placed(key=k, start=at.start, end=at.end) for k, at in found.items())
    return tuple(sorted(placed, key=lambda each: (each.start, each.end, each.key)))


def _no_room(job: str, due: Due) -> Alone:
    return Alone(
        job=job,
        steps=(),
        activity=due.activity,
        ready=None,
        late=None,
        is_exact=True,
    )


def is_simple(small: Problem) -> bool:
    """Whether a job is a chain whose steps cannot want the same hands at once.

    Then each step as early as can be is a plan, and none is ready earlier.
    """
    follows = {
        (link.before, link.after)
        for link in small.links
        if not link.from_start and link.lag >= 0
    }
    loose = marks(small)
    keys = [key for key in in_order(small) if key not in loose]
    if not set(pairwise(keys)) <= follows:
        return False
    if counted_spans(small) != small.spans:
        return False
    served = {c.resource for a in small.activities for n in a.needs for c in n.choices}
    held = [name for span in small.spans for name in set(held_by(span))]
    return len(held) == len(set(held)) and not served & set(held)


def _searched(small: Problem, due: Due, known: Alone, with_engine: bool) -> Alone:
    """The bound closed by a plan, or raised by the engine."""
    counted = replace(due, weight=1, late_by_ready=FROM_THE_FIRST_TICK)
    asked = replace(small, dues=(counted,), levels=(Level.LATE,))
    try:
        plan = quick_plan(asked, seconds=0)
        if with_engine and _ready(plan).value > (known.ready or 0):
            plan = solve(asked, SEARCH)
    except NoPlanError:
        return _no_room(known.job, due)
    found = _ready(plan)
    if found.value == known.ready or found.is_proven:
        return _as_planned(known, plan, due)
    ready = max(known.ready or 0, found.bound or 0)
    return replace(known, ready=ready, late=look_up(due.late_by_ready, ready))


def _ready(plan: Plan) -> LevelResult:
    return plan.levels[0]


def _as_planned(known: Alone, plan: Plan, due: Due) -> Alone:
    end = plan.by_key[known.activity].end
    keys = {step.key for step in known.steps}
    placed = (each for each in plan.placed if each.key in keys)
    return replace(
        known,
        steps=tuple(sorted(placed, key=lambda each: (each.start, each.end, each.key))),
        ready=due.ready(end),
        late=due.late(end),
        is_exact=True,
    )
