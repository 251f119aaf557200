"""The goals of a problem as expressions of the engine, one for each level (pure)."""

from __future__ import annotations

from typing import Any

from jobs.scheduling.build import Built
from jobs.scheduling.following import Number, at_least
from jobs.scheduling.problem import Due, Level, Problem, Run
from jobs.scheduling.runs import composed, highest, pieces

SAME = (Run(first=0, value=0, rise=1),)
"""The table of what is ready at its end."""


def add_goals(built: Built, *, latest: int) -> dict[Level, Number]:
    """Each level's goal: what the engine makes as small as it can."""
    levels, model = built.problem.levels, built.model
    makespan = model.new_int_var(0, latest, "makespan")
    for key in last_ones(built.problem):
        model.add(makespan >= built.times[key].end)
    makers = {Level.LATE: _late, Level.CHANGE: _change, Level.STAY: _stay}
    goals = {level: makers[level](built) for level in levels if level in makers}
    if Level.STAY in goals:
        goals[Level.STAY] += makespan
    if Level.MAKESPAN in levels:
        goals[Level.MAKESPAN] = makespan
    return goals


def last_ones(problem: Problem) -> list[str]:
    """Activities that nothing waits for: one of them is the last to end."""
    waited_for = {
        link.before
        for link in problem.links
        if not link.from_start and link.start_by_end is None and link.lag >= 0
    }
    keys = {activity.key for activity in problem.activities}
    return sorted(keys - waited_for or keys)


def _late(built: Built) -> Number:
    """Ticks of lateness, weighted."""
    return _sum(due.weight * _late_one(built, due) for due in _dues(built))


def _late_one(built: Built, due: Due) -> Number:
    time = built.times[due.activity]
    parts = pieces(due.ready_by_end or SAME, time.first_end, time.last_end)
    parts = composed(parts, due.late_by_ready)
    if highest(parts) <= 0:
        return 0
    late = built.model.new_int_var(0, highest(parts), f"late {due.activity}")
    at_least(built.model, time.end, late, parts)
    return late


def _stay(built: Built) -> Number:
    """Ticks from the start of the stay until ready, and hands that change."""
    stays = [_ready(built, due) - built.times[due.since].start for due in _dues(built)]
    swaps = [
        pair.cost * _no_longer(built, resource, before=serves, key=pair.after)
        for pair in built.problem.pairs
        for resource, serves in sorted(built.serving[pair.before].items())
    ]
    return _sum(stays) + _sum(swaps)


def _ready(built: Built, due: Due) -> Number:
    time = built.times[due.activity]
    if due.ready_by_end is None:
        return time.end
    parts = pieces(due.ready_by_end, time.first_end, time.last_end)
    ready = built.model.new_int_var(0, highest(parts), f"ready {due.activity}")
    at_least(built.model, time.end, ready, parts)
    return ready


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
