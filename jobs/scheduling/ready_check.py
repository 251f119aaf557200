"""What stands against every plan, said before anything is searched (pure)."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from itertools import combinations, pairwise

from jobs.scheduling.problem import (
    Activity,
    Fault,
    FaultKind,
    Interval,
    Link,
    Need,
    Problem,
    Table,
    look_up,
)

Steps = dict[str, list[Link]]


def faults(problem: Problem) -> tuple[Fault, ...]:
    """All that is wrong with a problem; empty when a plan may be looked for.

    What is malformed or goes in a circle is told alone, since nothing more can then
    be worked out.
    """
    return (
        tuple(_malformed(problem))
        or tuple(_circles(problem))
        or (*_unserved(problem), *_ill_timed(problem), *_clashes(problem))
    )


def links_by_after(problem: Problem) -> Steps:
    """The links that lead to each activity."""
    found: Steps = {one.key: [] for one in problem.activities}
    for link in problem.links:
        found[link.after].append(link)
    return found


def earliest_after(link: Link, *, start: int, end: int) -> int:
    """The first start that a link allows, `before` being at these ticks."""
    at = start if link.from_start else end
    if link.start_by_end:
        at = look_up(link.start_by_end, at)
    return at + link.lag


def end_of(activity: Activity, *, start: int, size: int) -> int:
    """The end for a start, by the activity's table if it has one."""
    if activity.end_by_start:
        return look_up(activity.end_by_start, start)
    return start + size


def shortest(activity: Activity) -> int:
    """The fewest ticks that an activity can take without a table."""
    sized = [
        [activity.size if one.size is None else one.size for one in need.choices]
        for need in activity.needs
        if any(one.size is not None for one in need.choices)
    ]
    return max((min(sizes) for sizes in sized), default=activity.size)


def in_order(problem: Problem) -> tuple[str, ...]:
    """Keys of activities, each after all that it waits for; circles are left out."""
    waits = {key: len(links) for key, links in links_by_after(problem).items()}
    follow: dict[str, list[str]] = {key: [] for key in waits}
    for link in problem.links:
        follow[link.before].append(link.after)
    ready = sorted(key for key, count in waits.items() if not count)
    for key in ready:
        for after in sorted(follow[key]):
            waits[after] -= 1
            if not waits[after]:
                ready.append(after)
    return tuple(ready)


def _malformed(problem: Problem) -> Iterator[Fault]:
    """Keys twice or unknown, times that cannot be."""
    keys = Counter(one.key for one in problem.activities)
    keys.update(one.key for one in problem.spans)
    names = Counter(one.key for one in problem.resources)
    for key in (*keys, *names):
        if keys[key] > 1 or names[key] > 1:
            yield _bad(key)
    jobs = {one.key: one.job for one in problem.activities}
    for activity in problem.activities:
        if _is_odd_activity(activity) or _names_unknown(activity.needs, names):
            yield _bad(activity.key)
    for span in problem.spans:
        job = jobs.get(span.first)
        if (
            job is None
            or jobs.get(span.last) != job
            or span.need.count != 1
            or _names_unknown((span.need,), names)
        ):
            yield _bad(span.key)
    for link in problem.links:
        if link.before not in jobs or link.after not in jobs or _is_odd(link):
            yield _bad(link.before, link.after)
    for due in problem.dues:
        tables = (due.late_by_ready, due.ready_by_end)
        if {due.activity, due.since} - set(jobs) or any(map(_is_empty, tables)):
            yield _bad(due.activity, due.since)
    for pair in problem.pairs:
        if {pair.before, pair.after} - set(jobs):
            yield _bad(pair.before, pair.after)
    for resource in problem.resources:
        if resource.capacity < 0 or not all(a <= b for a, b in resource.closed):
            yield Fault(kind=FaultKind.MALFORMED, resources=(resource.key,))


def _bad(*about: str) -> Fault:
    return Fault(kind=FaultKind.MALFORMED, about=about)


def _is_odd_activity(activity: Activity) -> bool:
    sizes = [one.size for need in activity.needs for one in need.choices]
    table = activity.end_by_start
    fixed = activity.fixed_start
    return (
        min([activity.size, *(size for size in sizes if size is not None)]) < 0
        or not all(0 <= a <= b for a, b in activity.starts or ())
        or (fixed is not None and fixed < 0)
        or (table is not None and (_is_empty(table) or _ends_before(table)))
    )


def _ends_before(table: Table) -> bool:
    """Whether a table gives an end before its start."""
    lasts = [run.first - 1 for run in table[1:]]
    if any(look_up(table, at) < at for at in [run.first for run in table] + lasts):
        return True
    return table[-1].rise == 0


def _is_odd(link: Link) -> bool:
    return link.start_by_end is not None and _is_empty(link.start_by_end)


def _is_empty(table: Table | None) -> bool:
    """Whether a table is there but says nothing of tick 0, or is out of order."""
    if table is None:
        return False
    return (
        not table
        or table[0].first > 0
        or any(a.first >= b.first for a, b in pairwise(table))
    )


def _names_unknown(needs: tuple[Need, ...], names: Counter[str]) -> bool:
    return any(
        need.count < 0
        or need.demand < 0
        or len({one.resource for one in need.choices}) < len(need.choices)
        or any(one.resource not in names for one in need.choices)
        for need in needs
    )


def _circles(problem: Problem) -> Iterator[Fault]:
    """Activities that wait for each other."""
    done = set(in_order(problem))
    waiting = {one.key for one in problem.activities} - done
    if not waiting:
        return
    before = {
        key: sorted(link.before for link in links if link.before in waiting)
        for key, links in links_by_after(problem).items()
    }
    at, seen = min(waiting), list[str]()
    while at not in seen:
        seen.append(at)
        at = before[at][0]
    yield Fault(kind=FaultKind.CIRCLE, about=tuple(reversed(seen[seen.index(at) :])))


def _unserved(problem: Problem) -> Iterator[Fault]:
    """Needs that nobody serves, pins on somebody who is no choice."""
    capacity = {one.key: one.capacity for one in problem.resources}
    for key, needs, pinned in _holders(problem):
        choices = {one.resource for need in needs for one in need.choices}
        unknown = tuple(name for name in pinned if name not in choices)
        if unknown:
            yield Fault(kind=FaultKind.PIN_UNKNOWN, about=(key,), resources=unknown)
        elif len(set(pinned)) > sum(need.count for need in needs):
            yield Fault(kind=FaultKind.PIN_UNKNOWN, about=(key,), resources=pinned)
        for need in needs:
            able = [c for c in need.choices if capacity[c.resource] >= need.demand]
            if len(able) < need.count:
                names = tuple(one.resource for one in need.choices)
                yield Fault(kind=FaultKind.NOBODY, about=(key,), resources=names)
                break
        else:
            if not _go_together(needs, capacity):
                names = tuple(sorted(choices))
                yield Fault(kind=FaultKind.NOBODY, about=(key,), resources=names)


def _go_together(needs: tuple[Need, ...], left: dict[str, int]) -> bool:
    """Whether all needs can be served at once."""
    if not needs:
        return True
    need, more = needs[0], needs[1:]
    names = [c.resource for c in need.choices if left[c.resource] >= need.demand]
    others = {one.resource for other in more for one in other.choices}
    names.sort(key=lambda name: name in others)
    for hands in combinations(names, need.count):
        if others.isdisjoint(hands):
            return _go_together(more, left)
        fewer = {name: left[name] - need.demand for name in hands}
        if _go_together(more, {**left, **fewer}):
            return True
    return False


def _holders(
    problem: Problem,
) -> Iterator[tuple[str, tuple[Need, ...], tuple[str, ...]]]:
    for activity in problem.activities:
        yield activity.key, activity.needs, activity.pinned
    for span in problem.spans:
        yield span.key, (span.need,), span.pinned


def _ill_timed(problem: Problem) -> Iterator[Fault]:
    """Fixed starts against windows and links; activities that can never start."""
    activities = {one.key: one for one in problem.activities}
    times = earliest_times(problem)
    for key, links in links_by_after(problem).items():
        activity, fixed = activities[key], activities[key].fixed_start
        at, held_by = max(
            ((_allows(link, times[link.before]), link.before) for link in links),
            default=(0, key),
        )
        if fixed is None:
            if activity.starts is not None and not any(
                max(0, at) < until and first < until for first, until in activity.starts
            ):
                yield Fault(kind=FaultKind.NO_TIME, about=(key,), at=at)
        elif at > fixed:
            yield Fault(kind=FaultKind.PIN_ORDER, about=(held_by, key), at=fixed)
        elif not _is_in(activity.starts, fixed):
            yield Fault(kind=FaultKind.PIN_CLOSED, about=(key,), at=fixed)


def earliest_times(problem: Problem) -> dict[str, Interval]:
    """Of each activity: no sooner than this, by links and windows and fixed starts."""
    activities = {one.key: one for one in problem.activities}
    links = links_by_after(problem)
    times: dict[str, Interval] = {}
    for key in in_order(problem):
        activity = activities[key]
        at = max([0, *(_allows(link, times[link.before]) for link in links[key])])
        if activity.fixed_start is not None:
            at = activity.fixed_start
        elif activity.starts is not None:
            later = [max(at, a) for a, b in activity.starts if max(at, a) < b]
            at = min(later, default=at)
        times[key] = (at, end_of(activity, start=at, size=shortest(activity)))
    return times


def _allows(link: Link, before: Interval) -> int:
    return earliest_after(link, start=before[0], end=before[1])


def _is_in(starts: tuple[Interval, ...] | None, at: int) -> bool:
    return starts is None or any(a <= at < b for a, b in starts)


def _clashes(problem: Problem) -> Iterator[Fault]:
    """Fixed activities and spans on one resource at once, or while it is closed."""
    capacity = {one.key: one.capacity for one in problem.resources}
    closed = {one.key: one.closed for one in problem.resources}
    held: dict[str, list[tuple[int, int, str, int]]] = {}
    for key, (start, end), needs, pinned in _certain(problem):
        sure = _sure(needs, pinned)
        for name, demand in sure.items():
            held.setdefault(name, []).append((start, end, key, demand))
        for need in needs if start < end else ():
            names = [one.resource for one in need.choices]
            open_ones = [n for n in names if not _meets(closed[n], start, end)]
            shut = [n for n in names if n in sure and n not in open_ones]
            if shut or len(open_ones) < need.count:
                named = tuple(sorted(shut or names))
                yield Fault(
                    kind=FaultKind.PIN_CLOSED, about=(key,), resources=named, at=start
                )
    for name in sorted(held):
        for one, other in combinations(sorted(held[name]), 2):
            at, until = max(one[0], other[0]), min(one[1], other[1])
            if at < until and one[3] + other[3] > capacity[name]:
                about = tuple(dict.fromkeys((one[2], other[2])))
                yield Fault(
                    kind=FaultKind.PINS_CLASH, about=about, resources=(name,), at=at
                )


def _certain(
    problem: Problem,
) -> Iterator[tuple[str, Interval, tuple[Need, ...], tuple[str, ...]]]:
    """What is certain to be held: fixed activities, spans from a fixed first one."""
    times = earliest_times(problem)
    fixed = {one.key for one in problem.activities if one.fixed_start is not None}
    for activity in problem.activities:
        if activity.key in fixed:
            yield activity.key, times[activity.key], activity.needs, activity.pinned
    for span in problem.spans:
        if span.first in fixed:
            held = (times[span.first][0], times[span.last][1])
            yield span.key, held, (span.need,), span.pinned


def _sure(needs: tuple[Need, ...], pinned: tuple[str, ...]) -> dict[str, int]:
    """Who serves whatever else: pinned, or of a need that takes all its choices."""
    sure: Counter[str] = Counter()
    for need in needs:
        if len(need.choices) == need.count:
            for one in need.choices:
                sure[one.resource] += need.demand
    for name in pinned:
        demands = [
            need.demand
            for need in needs
            if any(one.resource == name for one in need.choices)
        ]
        sure[name] = max(sure[name], min(demands, default=0))
    return dict(sure)


def _meets(closed: tuple[Interval, ...], start: int, end: int) -> bool:
    return any(a < end and start < b for a, b in closed)
