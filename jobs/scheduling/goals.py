"""The goals of a problem as expressions of the engine, one for each level (pure)."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from jobs.scheduling.build import Built
from jobs.scheduling.following import Number, at_least
from jobs.scheduling.problem import Due, Level, Problem, Run
from jobs.scheduling.runs import composed, highest, lowest, pieces
from jobs.scheduling.workload import least_makespan

SAME = (Run(first=0, value=0, rise=1),)
"""The table of what is ready at its end."""


@dataclass(frozen=True, kw_only=True)
class Goal:
    """What the engine makes as small as it can.

    floor  what it cannot go below, known without a search
    """

    cost: Number
    floor: int = 0


def add_goals(built: Built, *, latest: int) -> dict[Level, Goal]:
    """Each level's goal."""
    levels, model = built.problem.levels, built.model
    ends = [built.times[key] for key in last_ones(built.problem)]
    floor = max((time.first_end for time in ends), default=0)
    if Level.MAKESPAN in levels:
        floor = max(floor, _busy(built))
    makespan = model.new_int_var(floor, max(floor, latest), "makespan")
    for time in ends:
        model.add(makespan >= time.end)
    goals = {Level.MAKESPAN: Goal(cost=makespan, floor=floor)}
    if Level.LATE in levels:
        goals[Level.LATE] = _late(built)
    if Level.CHANGE in levels:
        cost = _change(built)
        known = cost if isinstance(cost, int) else 0
        goals[Level.CHANGE] = Goal(cost=cost, floor=known)
    if Level.STAY in levels:
        goals[Level.STAY] = Goal(cost=_stay(built) + _swaps(built) + makespan)
    return goals


def _busy(built: Built) -> int:
    """How long the busiest group of resources works at least."""
    return least_makespan(
        built.problem,
        heads={key: time.earliest for key, time in built.times.items()},
        sizes={key: time.least for key, time in built.times.items()},
    )


def last_ones(problem: Problem) -> list[str]:
    """Activities that nothing waits for: one of them is the last to end."""
    waited_for = {
        link.before
        for link in problem.links
        if not link.from_start and link.start_by_end is None and link.lag >= 0
    }
    keys = {activity.key for activity in problem.activities}
    return sorted(keys - waited_for or keys)


def _late(built: Built) -> Goal:
    """Ticks of lateness, weighted; none is less late than it would be alone."""
    cost: Number = 0
    floor = 0
    for due in _dues(built):
        time = built.times[due.activity]
        parts = pieces(due.ready_by_end or SAME, time.first_end, time.last_end)
        parts = composed(parts, due.late_by_ready)
        low, high = max(0, lowest(parts)), highest(parts)
        if high > 0:
            late = built.model.new_int_var(low, high, f"late {due.activity}")
            at_least(built.model, time.end, late, parts)
            cost += due.weight * late
            floor += due.weight * low
    return Goal(cost=cost, floor=floor)


def _stay(built: Built) -> Number:
    """Ticks from the start of each stay until ready.

    A variable of its own for each: the bound of a sum of differences is hardly one.
    """
    cost: Number = 0
    for due in _dues(built):
        time, since = built.times[due.activity], built.times[due.since]
        parts = pieces(due.ready_by_end or SAME, time.first_end, time.last_end)
        low, high = lowest(parts) - since.latest, highest(parts) - since.earliest
        stay = built.model.new_int_var(low, high, f"stay {due.activity}")
        at_least(built.model, time.end, stay + since.start, parts)
        cost += stay
    return cost


def _swaps(built: Built) -> Number:
    """What hands cost that change."""
    swaps = [
        pair.cost * _no_longer(built, resource, before=serves, key=pair.after)
        for pair in built.problem.pairs
        for resource, serves in sorted(built.serving[pair.before].items())
    ]
    return _sum(swaps)


def _change(built: Built) -> Number:
    """Ticks moved from the plan in force, and resources swapped."""
    problem, model = built.problem, built.model
    parts: list[Number] = []
    for old in sorted(problem.previous, key=lambda each: each.key):
        if old.key in built.times:
            time = built.times[old.key]
            far = max(abs(time.latest - old.start), abs(time.earliest - old.start))
            moved = model.new_int_var(0, far, f"moved {old.key}")
            model.add(moved >= time.start - old.start)
            model.add(moved >= old.start - time.start)
            parts.append(moved)
        if old.key in built.serving:
            parts += [
                problem.swap_cost * _no_longer(built, resource, before=[1], key=old.key)
                for resource in sorted(set(old.resources))
            ]
    return _sum(parts)


def _no_longer(built: Built, resource: str, *, before: list[Any], key: str) -> Number:
    """1 where a resource that served before does not serve now."""
    after = built.serving.get(key, {}).get(resource, [])
    if len(before) == len(after) == 1 and isinstance(before[0], int):
        return 1 - after[0]
    left = built.model.new_bool_var(f"{resource} leaves {key}")
    for serves in before:
        built.model.add(left >= serves - _sum(after))
    return left


def _dues(built: Built) -> list[Due]:
    return sorted(built.problem.dues, key=lambda each: (each.activity, each.since))


def _sum(parts: Any) -> Number:
    return sum(parts, start=0)
