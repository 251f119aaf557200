"""How early and how late each activity of a job can be, were no other job there (pure).

Bounds, not a plan: what is said here holds for every plan. Calendars of resources,
choices, spans and links count; that two activities of the job may want one person at
once does not.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import partial
from itertools import product
from math import prod

from jobs.scheduling.problem import (
    Activity,
    Choice,
    Due,
    Interval,
    Link,
    Need,
    Problem,
    Resource,
    Span,
    Table,
    look_up,
)
from jobs.scheduling.ready_check import (
    earliest_after,
    end_of,
    in_order,
    links_by_after,
)

MOST_WAYS = 500
"""Ways to place the spans of one job that are looked at one by one."""


@dataclass(frozen=True, kw_only=True)
class Reach:
    """A bound for the start and one for the end, each for itself."""

    start: int
    end: int


def only(problem: Problem, jobs: Collection[str]) -> Problem:
    """The same shop with these jobs alone."""
    keys = {each.key for each in problem.activities if each.job in jobs}
    return replace(
        problem,
        activities=tuple(a for a in problem.activities if a.key in keys),
        links=tuple(x for x in problem.links if {x.before, x.after} <= keys),
        spans=tuple(x for x in problem.spans if {x.first, x.last} <= keys),
        dues=tuple(due for due in problem.dues if due.activity in keys),
        pairs=tuple(x for x in problem.pairs if {x.before, x.after} <= keys),
        previous=(),
    )


def dues_of(problem: Problem, job: str) -> tuple[Due, ...]:
    """The promises of a job."""
    mine = {each.key for each in problem.activities if each.job == job}
    return tuple(due for due in problem.dues if due.activity in mine)


def promised_jobs(problem: Problem) -> tuple[str, ...]:
    """Jobs with a promise, sorted."""
    of = {each.key: each.job for each in problem.activities}
    return tuple(sorted({of[due.activity] for due in problem.dues}))


def earliest(problem: Problem, *, not_before: int = 0) -> dict[str, Reach] | None:
    """Earliest start and end of each activity, over all ways; None: it cannot be.

    not_before  no activity begins earlier but a mark
    """
    found: dict[str, Reach] = {}
    for way in ways(problem, not_before=not_before):
        for key, at in way.items():
            known = found.get(key, at)
            found[key] = Reach(
                start=min(known.start, at.start), end=min(known.end, at.end)
            )
    return found if found or not problem.activities else None


def ways(problem: Problem, *, not_before: int = 0) -> Iterator[dict[str, Reach]]:
    """Earliest starts and ends, for each choice of free time for each span."""
    resources = {each.key: each for each in problem.resources}
    spans = counted_spans(problem)
    free = [free_windows(span, resources, problem.horizon) for span in spans]
    keys = [each.key for each in problem.activities]
    loose = marks(problem)
    for windows in product(*free):
        from_tick = dict.fromkeys(keys, not_before) | dict.fromkeys(loose, 0)
        up_to = dict.fromkeys(keys, problem.horizon)
        for span, (opens, closes) in zip(spans, windows, strict=True):
            from_tick[span.first] = max(from_tick[span.first], opens)
            up_to[span.last] = min(up_to[span.last], closes)
        if (found := _forward(problem, resources, from_tick, up_to)) is not None:
            yield found


def marks(problem: Problem) -> frozenset[str]:
    """Activities of no length that wait for nothing and hold nothing up."""
    tied = {key for link in problem.links for key in (link.before, link.after)}
    tied |= {key for span in problem.spans for key in (span.first, span.last)}
    tied |= {due.activity for due in problem.dues}
    return frozenset(
        each.key
        for each in problem.activities
        if not (each.needs or each.size or each.key in tied)
    )


def counted_spans(problem: Problem) -> tuple[Span, ...]:
    """The spans that `ways` looks at: all that surely hold something, if not too many.

    A span of no length may lie where its resource is not there.
    """
    resources = {each.key: each for each in problem.resources}
    sizes = least_sizes(problem)
    spans = [span for span in problem.spans if least_hold(problem, span, sizes) > 0]
    free = (free_windows(span, resources, problem.horizon) for span in spans)
    return tuple(spans) if prod(map(len, free)) <= MOST_WAYS else ()


def _forward(
    problem: Problem,
    resources: Mapping[str, Resource],
    from_tick: Mapping[str, int],
    up_to: Mapping[str, int],
) -> dict[str, Reach] | None:
    activities = {each.key: each for each in problem.activities}
    into = links_by_after(problem)
    found: dict[str, Reach] = {}
    for key in in_order(problem):
        begin = from_tick[key]
        for link in into[key]:
            before = found[link.before]
            allowed = earliest_after(link, start=before.start, end=before.end)
            begin = max(begin, allowed)
        at = _earliest_of(activities[key], begin, resources, up_to[key])
        if at is None:
            return None
        found[key] = at
    return found


def sizes_of(activity: Activity) -> tuple[int, ...]:
    """The sizes that it can take, by who serves, from short to long."""
    asked = {
        size_asked(activity, choice)
        for need in activity.needs
        for choice in need.choices
        if is_sized(need)
    }
    return tuple(sorted(asked)) or (activity.size,)


def is_sized(need: Need) -> bool:
    """Whether it matters for the size who serves."""
    return any(choice.size is not None for choice in need.choices)


def size_asked(activity: Activity, choice: Choice) -> int:
    """The size that a choice of a sized need asks for."""
    return activity.size if choice.size is None else choice.size


def startable(activity: Activity, horizon: int) -> tuple[Interval, ...]:
    """Where it may begin."""
    if activity.fixed_start is not None:
        return ((activity.fixed_start, activity.fixed_start + 1),)
    return ((0, horizon + 1),) if activity.starts is None else activity.starts


def _earliest_of(
    activity: Activity, begin: int, resources: Mapping[str, Resource], up_to: int
) -> Reach | None:
    """From the first start at which enough of them are there for all of it."""
    windows = startable(activity, up_to)
    reopens = {
        until
        for need in activity.needs
        for choice in need.choices
        for _, until in resources[choice.resource].closed
    }
    ticks = sorted(
        tick
        for tick in {begin, *reopens, *(opens for opens, _ in windows)}
        if tick >= begin and any(opens <= tick < ends for opens, ends in windows)
    )
    found: list[tuple[int, int]] = []
    for size in sizes_of(activity):
        for start in ticks:
            end = end_of(activity, start=start, size=size)
            if end <= up_to and is_served(activity, size, (start, end), resources):
                found.append((start, end))
                break
    if not found:
        return None
    return Reach(start=min(s for s, _ in found), end=min(e for _, e in found))


def is_served(
    activity: Activity, size: int, at: Interval, resources: Mapping[str, Resource]
) -> bool:
    """Whether enough resources are there, none of them needed twice."""
    slots = []
    for need in activity.needs:
        names = [
            choice.resource
            for choice in need.choices
            if (not is_sized(need) or size_asked(activity, choice) <= size)
            and resources[choice.resource].capacity >= need.demand
            and is_open(resources[choice.resource], at)
        ]
        pins = [name for name in activity.pinned if name in _names(need)]
        if not set(pins) <= set(names):
            return False
        slots += [pins if len(pins) >= need.count else names] * need.count
    served: dict[str, int] = {}
    return all(_seat(i, slots, served, resources, set()) for i in range(len(slots)))


def _seat(
    slot: int,
    slots: list[list[str]],
    served: dict[str, int],
    resources: Mapping[str, Resource],
    tried: set[str],
) -> bool:
    """Finds one for a slot, moving others along if need be (augmenting paths)."""
    for name in slots[slot]:
        if name in tried:
            continue
        tried.add(name)
        if resources[name].capacity > 1:
            return True
        if name not in served or _seat(served[name], slots, served, resources, tried):
            served[name] = slot
            return True
    return False


def is_open(resource: Resource, at: Interval) -> bool:
    """Whether it is there from the start to the end; work of no length asks nothing."""
    return at[0] == at[1] or not any(
        begin < at[1] and at[0] < end for begin, end in resource.closed
    )


def _names(need: Need) -> set[str]:
    return {choice.resource for choice in need.choices}


def least_sizes(problem: Problem) -> dict[str, int]:
    """The fewest ticks of each activity; 0 where a table says the end."""
    return {
        each.key: 0 if each.end_by_start else sizes_of(each)[0]
        for each in problem.activities
    }


def least_hold(problem: Problem, span: Span, shortest: Mapping[str, int]) -> int:
    """The least time from the start of the first to the end of the last.

    A link that looks its moment up in a table counts as no wait: it may end at night.
    """
    into = links_by_after(problem)
    far = {span.first: (0, shortest[span.first])}
    for key in in_order(problem):
        begins = []
        for link in into[key]:
            if link.before in far and key != span.first:
                lag = max(link.lag, 0) if link.start_by_end else link.lag
                begins.append(far[link.before][0 if link.from_start else 1] + lag)
        if begins:
            far[key] = max(begins), max(begins) + shortest[key]
    return max(0, far.get(span.last, (0, 0))[1])


def held_by(span: Span) -> list[str]:
    """The resources that may serve a span."""
    names = [choice.resource for choice in span.need.choices]
    pins = [name for name in names if name in span.pinned]
    return pins or names


def free_windows(
    span: Span, resources: Mapping[str, Resource], horizon: int
) -> list[Interval]:
    """The stretches of time in which one of its resources is there throughout."""
    found: set[Interval] = set()
    for name in held_by(span):
        begin = 0
        for closes, opens in sorted(resources[name].closed):
            found.add((begin, min(closes, horizon)))
            begin = max(begin, opens)
        found.add((begin, horizon))
    real = [(begin, end) for begin, end in found if begin <= end]
    return sorted(
        one for one in real if not any(_holds(o, one) for o in real if o != one)
    )


def _holds(other: Interval, one: Interval) -> bool:
    return other[0] <= one[0] and one[1] <= other[1]


def latest(problem: Problem) -> dict[str, Reach]:
    """Latest start and end of each activity at which no promise is missed.

    A start below 0 says that none will do.
    """
    activities = {each.key: each for each in problem.activities}
    out: dict[str, list[Link]] = {key: [] for key in activities}
    for link in problem.links:
        out[link.before].append(link)
    found: dict[str, Reach] = {}
    for key in reversed(in_order(problem)):
        start = end = problem.horizon
        for due in problem.dues:
            if due.activity == key:
                end = min(end, last_in_time(due, problem.horizon))
        for link in out[key]:
            moment = latest_before(link, found[link.after].start, problem.horizon)
            if link.from_start:
                start = min(start, moment)
            else:
                end = min(end, moment)
        found[key] = _latest_of(activities[key], start, end, problem.horizon)
    return found


def _latest_of(activity: Activity, start: int, end: int, horizon: int) -> Reach:
    if activity.end_by_start:
        start = min(start, last_at_most(activity.end_by_start, end, horizon))
    else:
        start = min(start, end - sizes_of(activity)[0])
        end = min(end, start + sizes_of(activity)[-1])
    return Reach(start=start, end=end)


def latest_before(link: Link, start: int, horizon: int) -> int:
    """The last end of `before` (or start, `from_start`) that allows such a start."""
    moment = start - link.lag
    if link.start_by_end:
        return last_at_most(link.start_by_end, moment, horizon)
    return moment


def last_in_time(due: Due, horizon: int) -> int:
    """The last end that keeps a promise; -1 if none does."""
    first = due.ready_by_end[0].first if due.ready_by_end else 0
    ends = range(first, horizon + 1)
    return first + bisect_right(ends, 0, key=due.late) - 1


def last_at_most(table: Table, limit: int, horizon: int) -> int:
    """The last tick at which a table that never falls is at most the limit.

    One before its first tick if none is.
    """
    ticks = range(table[0].first, horizon + 1)
    return ticks.start + bisect_right(ticks, limit, key=partial(look_up, table)) - 1
