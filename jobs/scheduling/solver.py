"""From a first answer to a proof: the levels one after the other (pure).

`solve` lists a plan first; the engine starts from it and each level keeps what those
before have reached. Without the engine, or without time, the first answer stands.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from time import monotonic
from typing import Any

from jobs.scheduling.build import Built, build
from jobs.scheduling.checker import violations
from jobs.scheduling.engine import engine, engine_name
from jobs.scheduling.goals import Goal, add_goals
from jobs.scheduling.hashing import problem_hash
from jobs.scheduling.listing import quick_plan
from jobs.scheduling.problem import (
    Level,
    LevelResult,
    NoPlanError,
    Placed,
    Plan,
    Problem,
    Settings,
    Status,
)
from jobs.scheduling.ready_check import faults
from jobs.scheduling.search import Found, hint, search
from jobs.scheduling.values import level_values

LEAST_SECONDS = 0.02
"""With less time than that left no search is begun."""


class FaultyPlanError(RuntimeError):
    """The second opinion refuses a plan: a fault of the program, not of the problem."""


def solve(problem: Problem, settings: Settings | None = None) -> Plan:
    """The best plan that the time allows, with what is proven of each level.

    NoPlanError where nothing fits; FaultyPlanError where the checker refuses the plan.
    Wall time: at most `settings.seconds` for each level, the first answer within the
    first. `progress` and `cancelled` are called from the calling thread.
    """
    settings = settings or Settings()
    begun = monotonic()
    wrong = faults(problem)
    if wrong:
        raise NoPlanError(wrong)
    first = _first_answer(problem, settings)
    try:
        engine()
    except ImportError:
        if isinstance(first, NoPlanError):
            raise first from None
        return _checked(problem, first)
    plan = _searched(problem, settings, first, begun)
    return _checked(problem, plan)


def _first_answer(problem: Problem, settings: Settings) -> Plan | NoPlanError:
    """The listed plan; or why listing came to none, which proves nothing."""
    seconds = settings.first_seconds if settings.deterministic is None else 0.0
    try:
        return quick_plan(problem, seconds=seconds, seed=settings.seed)
    except NoPlanError as why:
        return why


def _checked(problem: Problem, plan: Plan) -> Plan:
    wrong = violations(problem, plan)
    if wrong:
        raise FaultyPlanError("; ".join(wrong[:5]))
    return plan


@dataclass(kw_only=True)
class _Hand:
    """The best plan so far, and its values."""

    placed: tuple[Placed, ...]
    values: tuple[int, ...]
    origin: str


def _searched(
    problem: Problem, settings: Settings, first: Plan | NoPlanError, begun: float
) -> Plan:
    """Level by level, from the first answer."""
    hand = None
    if isinstance(first, Plan):
        values = level_values(problem, first.placed)
        hand = _Hand(placed=first.placed, values=values, origin=first.origin)
    latest = _latest(problem, hand)
    built = build(problem, latest=latest)
    goals = add_goals(built, latest=latest)
    bounds: list[tuple[int, float]] = []
    cancelled = False
    for at, level in enumerate(problem.levels):
        stop = begun + settings.seconds
        found = _level(built, goals[level], level, hand, settings, stop, cancelled)
        cancelled = cancelled or found.is_cancelled
        if found.read is not None:
            hand = _better(built, found.read, hand)
        if hand is None:
            assert isinstance(first, NoPlanError)
            raise first
        bounds.append((found.bound, monotonic() - begun))
        begun = monotonic()
        _keep(built, goals[level], found.bound, hand.values[at])
    assert hand is not None
    return Plan(
        placed=hand.placed,
        levels=_results(problem, hand, bounds),
        origin=hand.origin,
        first=first.first if isinstance(first, Plan) else (),
        problem_hash=problem_hash(problem),
        engine=engine_name(),
        seed=settings.seed,
        workers=settings.workers,
        cancelled=cancelled,
    )


def _latest(problem: Problem, hand: _Hand | None) -> int:
    """How far to look: no plan worth having ends later."""
    if hand is None:
        return problem.horizon
    if problem.levels[:1] == (Level.MAKESPAN,):
        return hand.values[0]
    return max([problem.horizon, *(each.end for each in hand.placed)])


def _level(
    built: Built,
    goal: Goal,
    level: Level,
    hand: _Hand | None,
    settings: Settings,
    stop: float,
    cancelled: bool,
) -> Found:
    """One level's search, from the plan in hand."""
    at = built.problem.levels.index(level)
    floor = goal.floor
    done = hand is not None and hand.values[at] <= floor
    if done or cancelled or stop - monotonic() < LEAST_SECONDS:
        return Found(read=None, bound=floor)
    if hand is not None:
        hint(built.model, goal.cost, _known(built, hand.placed))
    built.model.minimize(goal.cost)
    seconds = stop - monotonic()
    found = search(
        built.model, level=level, settings=settings, seconds=seconds, floor=floor
    )
    if found.is_impossible and hand is not None:
        raise FaultyPlanError(f"{level}: the plan in hand is said to be impossible")
    return found


def _keep(built: Built, goal: Goal, bound: int, value: int) -> None:
    """The levels after keep what this one has reached."""
    if not isinstance(goal.cost, int):
        built.model.add_linear_constraint(goal.cost, min(bound, value), value)


def _known(built: Built, placed: tuple[Placed, ...]) -> list[tuple[Any, int]]:
    """The starts and who serves, as hints."""
    known = []
    for each in placed:
        if each.key in built.times:
            known.append((built.times[each.key].start, each.start))
        for need_rows in built.chosen.get(each.key, ()):
            known += [
                (serves, int(resource in each.resources))
                for resource, _, serves in need_rows[1]
                if not isinstance(serves, int)
            ]
    return known


def _better(built: Built, read: Callable[[Any], int], hand: _Hand | None) -> _Hand:
    """The plan found, unless the one in hand is as good."""
    placed = tuple(sorted(_placed(built, read), key=lambda each: each.key))
    values = level_values(built.problem, placed)
    if hand is not None and hand.values <= values:
        return hand
    return _Hand(placed=placed, values=values, origin="solver")


def _placed(built: Built, read: Callable[[Any], int]) -> Iterator[Placed]:
    """What a solution says, as a plan does."""
    ends = {key: (time.start, time.end) for key, time in built.times.items()}
    for span in built.problem.spans:
        ends[span.key] = (built.times[span.first].start, built.times[span.last].end)
    for key, (start, end) in ends.items():
        serving = tuple(
            resource
            for _, rows in built.chosen[key]
            for resource, _, serves in rows
            if read(serves)
        )
        yield Placed(key=key, start=read(start), end=read(end), resources=serving)


def _results(
    problem: Problem, hand: _Hand, bounds: list[tuple[int, float]]
) -> tuple[LevelResult, ...]:
    """What each level came to; a later one may have bettered an earlier one."""
    return tuple(
        LevelResult(
            level=level,
            value=value,
            bound=min(bound, value),
            status=Status.OPTIMAL if bound >= value else Status.FEASIBLE,
            seconds=seconds,
        )
        for level, value, (bound, seconds) in zip(
            problem.levels, hand.values, bounds, strict=True
        )
    )
