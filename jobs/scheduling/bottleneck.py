"""Where more work is needed of a group of resources than they are there for (pure).

A group is what some work may choose from: the bays of a kind, the people with a skill.
Within a window counts the work that cannot begin before it and must be done by its end
if the promises are to be kept, at its shortest:

    need = sum of count * demand * shortest size
    have = sum over the group of capacity * ticks of the window in which it is there

Where need > have, no plan keeps all of those promises. Source: energy of an interval,
a textbook bound of scheduling, from memory.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass
from itertools import groupby

from jobs.scheduling.problem import (
    Activity,
    Interval,
    Need,
    Problem,
    Resource,
)
from jobs.scheduling.reach import (
    Reach,
    earliest,
    latest,
    least_hold,
    least_sizes,
    only,
    sizes_of,
)
from jobs.scheduling.ready_check import end_of

Group = tuple[str, ...]
"""Keys of resources, sorted."""


@dataclass(frozen=True, kw_only=True)
class Bottleneck:
    """A group, a window, and what is needed and had in it, in ticks of one resource.

    jobs  whose work falls into the window, sorted
    """

    resources: Group
    start: int
    end: int
    need: int
    have: int
    jobs: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class Work:
    """What is needed of a group, within which bounds."""

    job: str
    group: Group
    start: int
    end: int
    ticks: int


def bottlenecks(problem: Problem, jobs: Collection[str]) -> tuple[Bottleneck, ...]:
    """For each group the window in which most is missing; the worst first.

    Nothing said means that no group overflows by this count: then the order of the
    stages blocks, not the room. What is fixed of other jobs is counted as needed.
    """
    works = [work for job in sorted(set(jobs)) for work in _works(problem, job)]
    others = {each.job for each in problem.activities} - set(jobs)
    works += [*_fixed_works(problem, others), *_fixed_holds(problem, others)]
    known = {each.key: each for each in problem.resources}
    found = []
    for group in sorted({work.group for work in works}):
        inside = [work for work in works if set(work.group) <= set(group)]
        worst = max(
            _overflows([known[key] for key in group], inside),
            key=lambda each: (each.need - each.have, each.start - each.end),
            default=None,
        )
        if worst:
            found.append(worst)
    return tuple(sorted(found, key=lambda each: each.have - each.need))


def _works(problem: Problem, job: str) -> Iterator[Work]:
    """What one job needs, each within the bounds that its promise leaves.

    Nothing of a job that is late even alone: room for it would not help.
    """
    small = only(problem, (job,))
    first, last = earliest(small), latest(small)
    if first is None or any(last[key].end < at.end for key, at in first.items()):
        return
    shortest = {
        each.key: _shortest(each, first[each.key], last[each.key])
        for each in small.activities
    }
    for each in small.activities:
        bounds = first[each.key].start, last[each.key].end
        for need in each.needs:
            yield _work(job, need, each.pinned, bounds, shortest[each.key])
    for span in small.spans:
        bounds = first[span.first].start, last[span.last].end
        ticks = least_hold(small, span, shortest)
        yield _work(job, span.need, span.pinned, bounds, ticks)


def _fixed_works(problem: Problem, others: Collection[str]) -> Iterator[Work]:
    """What other jobs hold already and will not give back."""
    for activity in problem.activities:
        if activity.job in others and activity.fixed_start is not None:
            start, size = activity.fixed_start, sizes_of(activity)[0]
            at = start, end_of(activity, start=start, size=size)
            for need in activity.needs:
                yield _work(activity.job, need, activity.pinned, at, at[1] - at[0])


def _fixed_holds(problem: Problem, others: Collection[str]) -> Iterator[Work]:
    """What cars of other jobs hold from a fixed start on, at the least."""
    activities = {each.key: each for each in problem.activities}
    for span in problem.spans:
        first = activities[span.first]
        if first.job in others and first.fixed_start is not None:
            small = only(problem, (first.job,))
            ticks = least_hold(small, span, least_sizes(small))
            at = first.fixed_start, first.fixed_start + ticks
            yield _work(first.job, span.need, span.pinned, at, ticks)


def _work(
    job: str, need: Need, pinned: Collection[str], bounds: Interval, ticks: int
) -> Work:
    names = [choice.resource for choice in need.choices]
    pins = [name for name in names if name in pinned]
    group = pins if len(pins) >= need.count else names
    return Work(
        job=job,
        group=tuple(sorted(group)),
        start=bounds[0],
        end=bounds[1],
        ticks=need.count * need.demand * ticks,
    )


def _shortest(activity: Activity, first: Reach, last: Reach) -> int:
    """The least that it can take between its earliest start and its latest."""
    if activity.end_by_start is None:
        return sizes_of(activity)[0]
    starts = range(first.start, max(first.start, last.start) + 1)
    return min(end_of(activity, start=at, size=0) - at for at in starts)


def _overflows(group: list[Resource], works: list[Work]) -> Iterator[Bottleneck]:
    """Windows between an earliest start and a latest end that ask too much."""
    works = sorted(works, key=lambda each: each.end)
    ticks = sorted({t for work in works for t in (work.start, work.end)})
    until = dict(zip(ticks, _there_until(group, ticks), strict=True))
    for start in sorted({work.start for work in works}):
        inside, need = set[str](), 0
        for end, together in groupby(works, key=lambda each: each.end):
            begun = [work for work in together if work.start >= start]
            inside |= {work.job for work in begun}
            need += sum(work.ticks for work in begun)
            have = max(0, until[end] - until[start])
            if begun and need > have:
                yield Bottleneck(
                    resources=tuple(each.key for each in group),
                    start=start,
                    end=end,
                    need=need,
                    have=have,
                    jobs=tuple(sorted(inside)),
                )


def _there_until(group: list[Resource], ticks: list[int]) -> Iterator[int]:
    """What the group offers from tick 0 on, up to each of the ticks."""
    for tick in ticks:
        yield sum(each.capacity * (tick - _closed(each, tick)) for each in group)


def _closed(resource: Resource, tick: int) -> int:
    """Ticks before this one at which it is not there."""
    shut, done = 0, 0
    for begin, end in sorted(resource.closed):
        begin, end = max(begin, done), min(end, tick)
        shut += max(0, end - begin)
        done = max(done, end)
    return shut
