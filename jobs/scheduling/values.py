"""What a plan is worth, level by level (pure)."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from jobs.scheduling.problem import Level, Placed, Problem

ByKey = Mapping[str, Placed]


def level_values(problem: Problem, placed: Iterable[Placed]) -> tuple[int, ...]:
    """The value of each of the problem's levels, in ticks; less is better.

    late      sum of weight * lateness over the promises
    change    sum of |start - old start| over the activities of both plans, and
              `swap_cost` for each resource of old that serves no longer
    stay      sum of (ready - start of `since`) over the promises, the makespan, and
              what changed hands cost
    makespan  end of the last activity
    """
    by_key = {each.key: each for each in placed}
    count = {
        Level.LATE: late_ticks,
        Level.CHANGE: changed_ticks,
        Level.STAY: stay_ticks,
        Level.MAKESPAN: makespan,
    }
    return tuple(count[level](problem, by_key) for level in problem.levels)


def late_ticks(problem: Problem, by_key: ByKey) -> int:
    """Weighted lateness of all promises."""
    return sum(
        due.weight * due.late(by_key[due.activity].end)
        for due in problem.dues
        if due.activity in by_key
    )


def changed_ticks(problem: Problem, by_key: ByKey) -> int:
    """How far the plan lies from the one in force."""
    movable = {each.key for each in problem.activities}
    total = 0
    for old in problem.previous:
        new = by_key.get(old.key)
        if new is None:
            continue
        if old.key in movable:
            total += abs(new.start - old.start)
        total += problem.swap_cost * len(set(old.resources) - set(new.resources))
    return total


def stay_ticks(problem: Problem, by_key: ByKey) -> int:
    """Time from arrival to ready, the end of it all, and changed hands."""
    inside = sum(
        due.ready(by_key[due.activity].end) - by_key[due.since].start
        for due in problem.dues
        if due.activity in by_key and due.since in by_key
    )
    hands = sum(
        pair.cost
        * len(set(by_key[pair.before].resources) - set(by_key[pair.after].resources))
        for pair in problem.pairs
        if pair.before in by_key and pair.after in by_key
    )
    return inside + hands + makespan(problem, by_key)


def makespan(problem: Problem, by_key: ByKey) -> int:
    """End of the last activity; 0 without any."""
    ends = [by_key[one.key].end for one in problem.activities if one.key in by_key]
    return max(ends, default=0)
