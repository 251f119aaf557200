"""What a group of resources has to do at least: a bound that needs no search (pure)."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from itertools import chain

from jobs.scheduling.problem import Activity, Choice, Link, Problem
from jobs.scheduling.ready_check import in_order


def least_makespan(
    problem: Problem, *, heads: Mapping[str, int], sizes: Mapping[str, int]
) -> int:
    """No plan is shorter than any group of resources is busy.

        least head + work of the group / its capacity, rounded up + least tail

    heads  the earliest start of each activity
    sizes  ticks that each takes at least
    Source: the head, body and tail bound of one machine (textbook, from memory), with
    the capacity of a set of machines in the place of 1.
    """
    tails = _tails(problem, sizes)
    capacity = {each.key: each.capacity for each in problem.resources}
    groups = {_group(need.choices) for one in problem.activities for need in one.needs}
    whole = frozenset(chain.from_iterable(groups))
    least = 0
    for group in groups | {whole}:
        inside = [
            (one.key, work)
            for one in problem.activities
            if (work := _work(one, group, sizes[one.key]))
        ]
        room = sum(capacity[key] for key in group)
        if inside and room:
            busy = -(-sum(work for _, work in inside) // room)
            head = min(heads[key] for key, _ in inside)
            least = max(least, head + busy + min(tails[key] for key, _ in inside))
    return least


def _group(choices: tuple[Choice, ...]) -> frozenset[str]:
    return frozenset(choice.resource for choice in choices)


def _work(activity: Activity, group: frozenset[str], size: int) -> int:
    """Ticks of the group's capacity that the activity takes for sure."""
    taken = sum(
        need.count * need.demand
        for need in activity.needs
        if _group(need.choices) <= group
    )
    return taken * size


def _tails(problem: Problem, sizes: Mapping[str, int]) -> dict[str, int]:
    """Ticks that must follow the end of each activity."""
    follow: dict[str, list[Link]] = defaultdict(list)
    for link in problem.links:
        if not link.from_start and link.start_by_end is None:
            follow[link.before].append(link)
    tails = {activity.key: 0 for activity in problem.activities}
    for key in reversed(in_order(problem)):
        after = [
            link.lag + sizes[link.after] + tails[link.after] for link in follow[key]
        ]
        tails[key] = max([0, *after])
    return tails
