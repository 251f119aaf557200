"""A problem as variables and constraints of the engine, whoever asks (pure).

Who serves is one Boolean for each choice; an activity holds its resources by an
interval that is there if that Boolean is. A table is cut into runs with a Boolean for
each run, never into ticks. For each set of alternatives one more constraint counts all
that is needed of the set together: it gives the bound that single choices do not.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any, NamedTuple

from jobs.scheduling.engine import engine
from jobs.scheduling.following import Number, at_least, exactly, is_always
from jobs.scheduling.problem import (
    Activity,
    Choice,
    Interval,
    Link,
    Need,
    Problem,
    Span,
)
from jobs.scheduling.ready_check import earliest_times
from jobs.scheduling.runs import highest, least_ahead, lowest, pieces

MANY_SETS = 60
"""Sets of alternatives that are counted together; those most asked for come first."""

Serving = tuple[tuple[Need, tuple[tuple[str, int | None, Number], ...]], ...]
"""For each need: resource, the size it asks for, and its Boolean (or 1)."""


@dataclass(frozen=True, kw_only=True)
class Time:
    """An activity's start and end, and between which ticks each can lie.

    least  ticks that it takes at least
    """

    start: Number
    end: Number
    earliest: int
    latest: int
    first_end: int
    last_end: int
    least: int


@dataclass(frozen=True, kw_only=True)
class Held:
    """What an activity or a span takes: an interval, and how much."""

    interval: Any
    demand: int


@dataclass(kw_only=True)
class Built:
    """A problem in the engine's terms.

    soonest  no activity begins or ends before, by its links and windows
    times    of each activity
    serving  Booleans (or 1) that say that a resource serves an activity or a span
    chosen   the same, need by need
    """

    problem: Problem
    model: Any
    capacity: dict[str, int]
    soonest: dict[str, Interval]
    times: dict[str, Time] = field(default_factory=dict)
    serving: dict[str, dict[str, list[Number]]] = field(default_factory=dict)
    chosen: dict[str, Serving] = field(default_factory=dict)
    on: dict[str, list[Held]] = field(default_factory=lambda: defaultdict(list))
    sets: dict[frozenset[str], list[Held]] = field(
        default_factory=lambda: defaultdict(list)
    )


def build(problem: Problem, *, latest: int) -> Built:
    """All variables and constraints of a problem but its goals.

    latest  no activity ends later: the horizon, or a makespan already in hand
    """
    capacity = {each.key: each.capacity for each in problem.resources}
    built = Built(
        problem=problem,
        model=engine().CpModel(),
        capacity=capacity,
        soonest=earliest_times(problem),
    )
    for activity in sorted(problem.activities, key=lambda each: each.key):
        _add_activity(built, activity, latest=latest)
    for link in sorted(problem.links, key=lambda each: (each.before, each.after)):
        _add_link(built, link)
    for span in sorted(problem.spans, key=lambda each: each.key):
        _add_span(built, span, latest=latest)
    _keep_capacities(built, latest=latest)
    _keep_sets(built, latest=latest)
    return built


def lengths(activity: Activity) -> tuple[int, int]:
    """The shortest and the longest it can be, by who serves."""
    low, high = [], []
    for need in activity.needs:
        if any(choice.size is not None for choice in need.choices):
            sizes = [_asked(activity, choice.size) for choice in need.choices]
            low.append(sorted(sizes)[need.count - 1])
            high.append(max(sizes))
    return (max(low), max(high)) if low else (activity.size, activity.size)


def _asked(activity: Activity, size: int | None) -> int:
    return activity.size if size is None else size


def _add_activity(built: Built, activity: Activity, *, latest: int) -> None:
    """Its start and end, who serves, and what it takes of them."""
    shortest, longest = lengths(activity)
    if activity.end_by_start is not None:
        shortest = longest = 0
    first, last, start = _start(built, activity, latest=latest - shortest)
    serving = _choose(built, activity.key, activity.needs, activity.pinned)
    first_end, last_end = first + shortest, min(last + longest, latest)
    size: Number = shortest
    end: Number = start + shortest
    if activity.end_by_start is not None:
        parts = pieces(activity.end_by_start, first, last)
        first_end, last_end = lowest(parts), min(highest(parts), latest)
        shortest, longest = max(0, least_ahead(parts)), latest
        size = built.model.new_int_var(shortest, latest, f"size {activity.key}")
        end = built.model.new_int_var(first_end, last_end, f"end {activity.key}")
        exactly(built.model, start, end, parts)
    elif shortest < longest:
        size = _size(built, activity, serving)
        end = built.model.new_int_var(first_end, last_end, f"end {activity.key}")
    built.times[activity.key] = Time(
        start=start,
        end=end,
        earliest=first,
        latest=last,
        first_end=first_end,
        last_end=last_end,
        least=shortest,
    )
    if longest:
        held = _stretch(built, start, size, end, shortest=shortest)
        by_choice = activity.end_by_start is None
        _take(built, activity.key, serving, held, by_choice=by_choice)


def _start(built: Built, activity: Activity, *, latest: int) -> tuple[int, int, Number]:
    """The first and the last tick at which it can begin, and the variable."""
    if activity.fixed_start is not None:
        at = activity.fixed_start
        return at, at, built.model.new_constant(at)
    windows = activity.starts
    if windows is None:
        windows = ((0, latest + 1),)
    soonest = built.soonest[activity.key][0]
    inside = [
        (max(low, soonest), min(high - 1, latest))
        for low, high in windows
        if max(low, soonest) <= min(high - 1, latest)
    ]
    domain = engine().Domain.from_intervals([list(each) for each in inside])
    name = f"start {activity.key}"
    start = built.model.new_int_var_from_domain(domain, name)
    return min(low for low, _ in inside), max(high for _, high in inside), start


def _choose(
    built: Built, key: str, needs: tuple[Need, ...], pinned: tuple[str, ...]
) -> Serving:
    """A Boolean for each choice; `count` of them serve, and whoever is pinned."""
    found = []
    served: dict[str, list[Number]] = defaultdict(list)
    for need in needs:
        rows = []
        able = [each for each in need.choices if _is_able(built, each, need)]
        free = len(able) > need.count
        for choice in sorted(able, key=lambda each: each.resource):
            name = f"{choice.resource} serves {key}"
            serves = built.model.new_bool_var(name) if free else 1
            served[choice.resource].append(serves)
            rows.append((choice.resource, choice.size, serves))
        if free and need.count == 1:
            built.model.add_exactly_one([serves for _, _, serves in rows])
        elif free:
            built.model.add(sum(serves for _, _, serves in rows) == need.count)
        found.append((need, tuple(rows)))
    for resource in pinned:
        if not any(is_always(serves) for serves in served[resource]):
            built.model.add_bool_or(served[resource])
    built.serving[key] = dict(served)
    built.chosen[key] = tuple(found)
    return tuple(found)


def _is_able(built: Built, choice: Choice, need: Need) -> bool:
    return built.capacity[choice.resource] >= need.demand


def _size(built: Built, activity: Activity, serving: Serving) -> Number:
    """How long it takes, by who serves: the longest that one of them asks for."""
    sized = [
        [(_asked(activity, size), serves) for _, size, serves in rows]
        for _, rows in serving
        if any(size is not None for _, size, _ in rows)
    ]
    domain = engine().Domain.from_values(
        sorted({asked for rows in sized for asked, _ in rows})
    )
    size = built.model.new_int_var_from_domain(domain, f"size {activity.key}")
    if len(sized) == 1 and sum(need.count for need, _ in serving) == 1:
        built.model.add(size == sum(asked * serves for asked, serves in sized[0]))
    else:
        every = [asked * serves for rows in sized for asked, serves in rows]
        built.model.add_max_equality(size, every)
    return size


class _Stretch(NamedTuple):
    """From when to when something is held, and the Boolean (or 1) that it is at all."""

    start: Number
    size: Number
    end: Number
    there: Number


def _stretch(
    built: Built, start: Number, size: Number, end: Number, *, shortest: int
) -> _Stretch:
    """There for sure, unless it may be of 0 ticks: that takes nothing of anybody."""
    if not isinstance(size, int):
        built.model.add(start + size == end)
    if shortest > 0:
        return _Stretch(start, size, end, 1)
    there = built.model.new_bool_var("longer than 0")
    built.model.add(size >= 1).only_enforce_if(there)
    built.model.add(size == 0).only_enforce_if(~there)
    return _Stretch(start, size, end, there)


def _take(
    built: Built, key: str, serving: Serving, held: _Stretch, *, by_choice: bool = False
) -> None:
    """Intervals on whoever serves, and on each set of alternatives.

    by_choice  the size is what the choice asks for
    """
    if not serving:
        return
    whole = _interval(built, key, held, held.there)
    alone = by_choice and sum(need.count for need, _ in serving) == 1
    for need, rows in serving:
        for resource, asked, serves in rows:
            interval = whole
            if not is_always(serves):
                there = serves if is_always(held.there) else _both(built, serves, held)
                own = held._replace(size=asked) if alone and asked else held
                interval = _interval(built, f"{key} on {resource}", own, there)
            built.on[resource].append(Held(interval=interval, demand=need.demand))
        group = frozenset(choice.resource for choice in need.choices)
        if len(group) > 1:
            counted = Held(interval=whole, demand=need.demand * need.count)
            built.sets[group].append(counted)


def _interval(built: Built, name: str, held: _Stretch, there: Number) -> Any:
    start, size, end, _ = held
    if isinstance(size, int):
        if is_always(there):
            return built.model.new_fixed_size_interval_var(start, size, name)
        return built.model.new_optional_fixed_size_interval_var(
            start, size, there, name
        )
    if is_always(there):
        return built.model.new_interval_var(start, size, end, name)
    return built.model.new_optional_interval_var(start, size, end, there, name)


def _both(built: Built, serves: Number, held: _Stretch) -> Number:
    """Serves, and for more than 0 ticks."""
    both = built.model.new_bool_var("serves for long")
    built.model.add_implication(both, serves)
    built.model.add_implication(both, held.there)
    built.model.add_bool_or([both, ~serves, ~held.there])
    return both


def _add_link(built: Built, link: Link) -> None:
    """`after` waits for `before`, by ticks or by a table."""
    before, after = built.times[link.before], built.times[link.after]
    at = before.start if link.from_start else before.end
    if link.start_by_end is None:
        built.model.add(after.start >= at + link.lag)
        return
    low = before.earliest if link.from_start else before.first_end
    high = before.latest if link.from_start else before.last_end
    parts = pieces(link.start_by_end, low, high)
    at_least(built.model, at, after.start - link.lag, parts)


def _add_span(built: Built, span: Span, *, latest: int) -> None:
    """A resource held from the start of one activity to the end of another."""
    first, last = built.times[span.first], built.times[span.last]
    serving = _choose(built, span.key, (span.need,), span.pinned)
    shortest = max(0, last.first_end - first.latest)
    size = built.model.new_int_var(shortest, latest, f"size {span.key}")
    least = max(shortest, first.least, last.least)
    held = _stretch(built, first.start, size, last.end, shortest=least)
    _take(built, span.key, serving, held)


def _keep_capacities(built: Built, *, latest: int) -> None:
    """No resource is asked for more than it has, and none while it is closed."""
    for resource in sorted(built.problem.resources, key=lambda each: each.key):
        held = built.on[resource.key]
        if not held:
            continue
        shut = _closed(built, resource.closed, latest)
        least = sorted(each.demand for each in held)[:2]
        if len(held) == 1 or sum(least) > resource.capacity:
            intervals = [each.interval for each in held]
            built.model.add_no_overlap(intervals + shut)
        else:
            _count(built, [*held, *_full(shut, resource.capacity)], resource.capacity)


def _keep_sets(built: Built, *, latest: int) -> None:
    """What is needed of a set of alternatives together fits into the set."""
    known = {each.key: each for each in built.problem.resources}
    counted = []
    for group in sorted(built.sets, key=sorted):
        inside = [
            each
            for part in sorted(built.sets, key=sorted)
            if part <= group
            for each in built.sets[part]
        ]
        if sum(each.demand for each in inside) > sum(
            known[key].capacity for key in group
        ):
            counted.append((group, inside))
    counted.sort(key=lambda each: -len(each[1]))
    for group, inside in counted[:MANY_SETS]:
        capacity = 0
        for key in sorted(group):
            capacity += known[key].capacity
            shut = _closed(built, known[key].closed, latest)
            inside += _full(shut, known[key].capacity)
        _count(built, inside, capacity)


def _count(built: Built, held: list[Held], capacity: int) -> None:
    intervals = [each.interval for each in held]
    demands = [each.demand for each in held]
    built.model.add_cumulative(intervals, demands, capacity)


def _full(shut: Iterable[Any], capacity: int) -> list[Held]:
    return [Held(interval=each, demand=capacity) for each in shut]


def _closed(built: Built, closed: tuple[Interval, ...], latest: int) -> list[Any]:
    """Closed times as intervals that stand."""
    return [
        built.model.new_fixed_size_interval_var(low, high - low, "closed")
        for low, high in sorted(closed)
        if low < min(high, latest)
    ]
