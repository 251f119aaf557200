"""The second opinion that every plan must pass (pure).

It shares no code with what makes plans: occupancy is counted tick by tick, tables are
read run by run, and the levels are worked out anew.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator

from jobs.scheduling.problem import (
    Activity,
    Due,
    Level,
    Need,
    Placed,
    Plan,
    Problem,
    Span,
    Table,
)


def violations(problem: Problem, plan: Plan) -> tuple[str, ...]:
    """What is wrong with a plan, a line each; empty for a sound one."""
    return tuple(_Check(problem, plan.placed).lines(plan))


class _Check:
    def __init__(self, problem: Problem, placed: tuple[Placed, ...]) -> None:
        self.problem = problem
        self.placed = placed
        self.at = {one.key: one for one in placed}
        self.resources = {one.key: one for one in problem.resources}
        self.activities = {one.key: one for one in problem.activities}
        self.taken: defaultdict[str, Counter[int]] = defaultdict(Counter)

    def lines(self, plan: Plan) -> Iterator[str]:
        missing = list(self._who_is_there())
        yield from missing
        if missing:
            return
        for activity in self.problem.activities:
            yield from self._activity(activity)
        for span in self.problem.spans:
            yield from self._span(span)
        yield from self._links()
        yield from self._occupancy()
        yield from self._levels(plan)

    def _who_is_there(self) -> Iterator[str]:
        wanted = [one.key for one in self.problem.activities]
        wanted += [one.key for one in self.problem.spans]
        counts = Counter(one.key for one in self.placed)
        for key in wanted:
            if counts[key] != 1:
                yield f"{key} is placed {counts[key]} times"
        for key in counts:
            if key not in set(wanted):
                yield f"{key} is placed but not asked for"

    def _activity(self, activity: Activity) -> Iterator[str]:
        key, here = activity.key, self.at[activity.key]
        if here.start < 0:
            yield f"{key} begins before tick 0"
        if activity.fixed_start is not None and here.start != activity.fixed_start:
            yield f"{key} begins at {here.start}, fixed at {activity.fixed_start}"
        if activity.starts is not None and not any(
            here.start in range(first, until) for first, until in activity.starts
        ):
            yield f"{key} begins at {here.start}, outside of its windows"
        for name in activity.pinned:
            if name not in here.resources:
                yield f"{key} is not served by {name}, pinned to it"
        yield from self._serving(key, activity.needs, here)
        end = here.start + _size(activity, here.resources)
        if activity.end_by_start is not None:
            end = _read(activity.end_by_start, here.start)
        if here.end != end:
            yield f"{key} ends at {here.end}, not {end}"

    def _span(self, span: Span) -> Iterator[str]:
        key, here = span.key, self.at[span.key]
        if here.start != self.at[span.first].start:
            yield f"{key} begins at {here.start}, not with {span.first}"
        if here.end != self.at[span.last].end:
            yield f"{key} ends at {here.end}, not with {span.last}"
        for name in span.pinned:
            if name not in here.resources:
                yield f"{key} is not served by {name}, pinned to it"
        yield from self._serving(key, (span.need,), here)

    def _serving(
        self, key: str, needs: tuple[Need, ...], here: Placed
    ) -> Iterator[str]:
        """Who serves which need, in their order; counted into `taken` on the way."""
        left = list(here.resources)
        if len(left) != sum(need.count for need in needs):
            yield f"{key} is served by {len(left)}, not as many as it needs"
        for need in needs:
            names, left = left[: need.count], left[need.count :]
            choices = [one.resource for one in need.choices]
            for place, name in enumerate(names):
                if name not in choices:
                    yield f"{key} is served by {name}, no choice of it"
                if name in names[:place]:
                    yield f"{key} counts {name} twice"
                for tick in range(here.start, here.end):
                    self.taken[name][tick] += need.demand

    def _links(self) -> Iterator[str]:
        for link in self.problem.links:
            before, after = self.at[link.before], self.at[link.after]
            ready = before.start if link.from_start else before.end
            if link.start_by_end is not None:
                ready = _read(link.start_by_end, ready)
            if after.start < ready + link.lag:
                yield f"{after.key} begins before {before.key} lets it"

    def _occupancy(self) -> Iterator[str]:
        for name, ticks in sorted(self.taken.items()):
            resource = self.resources.get(name)
            if resource is None:
                yield f"{name} is not known"
                continue
            over = [tick for tick, used in ticks.items() if used > resource.capacity]
            if over:
                yield f"{name} is taken more than {resource.capacity} at {min(over)}"
            shut = [
                tick
                for first, until in resource.closed
                for tick in range(max(0, first), until)
                if ticks.get(tick)
            ]
            if shut:
                yield f"{name} is closed at {min(shut)}"

    def _levels(self, plan: Plan) -> Iterator[str]:
        named = tuple(one.level for one in plan.levels)
        if named != self.problem.levels:
            yield "the plan answers other goals"
            return
        for one in plan.levels:
            value = self._value(one.level)
            if one.value != value:
                yield f"{one.level} is {value}, not {one.value}"
            if one.bound is not None and one.bound > value:
                yield f"{one.level} is {value}, below its bound {one.bound}"

    def _value(self, level: Level) -> int:
        ends = [self.at[key].end for key in self.activities]
        last = max(ends) if ends else 0
        total = 0
        if level is Level.MAKESPAN:
            total = last
        elif level is Level.LATE:
            for due in self.problem.dues:
                total += due.weight * _read(due.late_by_ready, self._ready(due))
        elif level is Level.CHANGE:
            total = self._change()
        elif level is Level.STAY:
            total = last
            for due in self.problem.dues:
                total += self._ready(due) - self.at[due.since].start
            for pair in self.problem.pairs:
                for name in set(self.at[pair.before].resources):
                    if name not in self.at[pair.after].resources:
                        total += pair.cost
        return total

    def _ready(self, due: Due) -> int:
        end = self.at[due.activity].end
        return end if due.ready_by_end is None else _read(due.ready_by_end, end)

    def _change(self) -> int:
        total = 0
        for old in self.problem.previous:
            if old.key in self.at:
                new = self.at[old.key]
                for name in set(old.resources):
                    if name not in new.resources:
                        total += self.problem.swap_cost
                if old.key in self.activities:
                    total += max(new.start - old.start, old.start - new.start)
        return total


def _read(table: Table, at: int) -> int:
    """A table's value: the last run that has begun, and its rise since."""
    value = None
    for run in table:
        if run.first <= at:
            value = run.value + run.rise * (at - run.first)
    if value is None:
        raise ValueError(f"nothing is said of tick {at}")
    return value


def _size(activity: Activity, names: tuple[str, ...]) -> int:
    """The largest size that a serving choice names; else the activity's own."""
    sizes = []
    left = list(names)
    for need in activity.needs:
        serving, left = left[: need.count], left[need.count :]
        for choice in need.choices:
            if choice.resource in serving and choice.size is not None:
                sizes.append(choice.size)
    return max(sizes) if sizes else activity.size
