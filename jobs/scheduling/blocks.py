"""A problem by numbers, and what must be placed in one go (pure).

A block is an activity alone, or all those between the first and the last of a span:
the bay is held through them, so they are placed together.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from jobs.scheduling.occupancy import masks
from jobs.scheduling.problem import Activity, Link, Need, Problem, Run, Span
from jobs.scheduling.ready_check import in_order, links_by_after


@dataclass(frozen=True)
class Ask:
    """A need: `forced` serve whatever else, `count` more come from `free`."""

    forced: tuple[int, ...]
    free: tuple[int, ...]
    sizes: dict[int, int]
    count: int
    demand: int


@dataclass(frozen=True)
class Step:
    """An activity: numbers for names."""

    at: int
    key: str
    size: int
    sizes: tuple[int, ...]
    shut: int
    ends: tuple[Run, ...] | None
    fixed: int | None
    asks: tuple[Ask, ...]


@dataclass(frozen=True)
class Hold:
    """A span: numbers for names."""

    key: str
    first: int
    last: int
    ask: Ask


@dataclass(frozen=True)
class Old:
    """Where the plan in force has it, and who serves which need."""

    start: int
    hands: tuple[frozenset[int], ...]


@dataclass(frozen=True)
class Block:
    """Steps placed in one go, each after those that it waits for."""

    steps: tuple[int, ...]
    holds: tuple[Hold, ...]
    before: tuple[int, ...]


class Floor:
    """All that list scheduling looks up again and again.

    steps   in an order in which each follows what it waits for
    into    for each step, the links that lead to it, with the step they come from
    out     the other way round
    mates   for each step, those that are better done by the same hands
    bound   steps that begin at a fixed tick, and all that those wait for
    """

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        self.resources = tuple(sorted(one.key for one in problem.resources))
        self._number = {key: at for at, key in enumerate(self.resources)}
        by_key = {one.key: one for one in problem.resources}
        self.capacities = [by_key[key].capacity for key in self.resources]
        self.closed = [masks(by_key[key].closed) for key in self.resources]
        activities = {one.key: one for one in problem.activities}
        ordered = in_order(problem)
        self.index = {key: at for at, key in enumerate(ordered)}
        self.steps = tuple(
            self._step(at, activities[key]) for at, key in enumerate(ordered)
        )
        self._link(problem)
        self.old = self._old(problem)
        self._before, self._after = self._reach(self.into), self._reach(self.out)
        self.blocks = self._blocks(problem)
        self.flexibility = self._flexibility()
        self.bound = self._bound()
        self.promised = {self.index[due.activity] for due in problem.dues}
        self.block_of = {
            step: at for at, block in enumerate(self.blocks) for step in block.steps
        }

    def _link(self, problem: Problem) -> None:
        found = links_by_after(problem)
        self.into: list[list[tuple[int, Link]]] = [
            [(self.index[link.before], link) for link in found[step.key]]
            for step in self.steps
        ]
        self.out: list[list[tuple[int, Link]]] = [[] for _ in self.steps]
        for after, links in enumerate(self.into):
            for before, link in links:
                self.out[before].append((after, link))
        self.mates: list[list[int]] = [[] for _ in self.steps]
        for pair in problem.pairs:
            one, other = self.index[pair.before], self.index[pair.after]
            self.mates[one].append(other)
            self.mates[other].append(one)

    def _step(self, at: int, activity: Activity) -> Step:
        asks = self._asks(
            activity.needs, activity.pinned, has_table=activity.end_by_start is not None
        )
        named = {size for ask in asks for size in ask.sizes.values()}
        is_sized = bool(named)
        if is_sized and any(
            one.size is None
            for need in activity.needs
            if any(other.size is not None for other in need.choices)
            for one in need.choices
        ):
            named.add(activity.size)
        return Step(
            at=at,
            key=activity.key,
            size=activity.size,
            sizes=tuple(sorted(named)) if is_sized else (activity.size,),
            shut=0 if activity.starts is None else ~masks(activity.starts),
            ends=activity.end_by_start,
            fixed=activity.fixed_start,
            asks=asks,
        )

    def _asks(
        self,
        needs: Iterable[Need],
        pinned: Sequence[str],
        *,
        has_table: bool = False,
    ) -> tuple[Ask, ...]:
        """The needs, each pin given to the one with the fewest other choices."""
        wanted = tuple(needs)
        left = dict.fromkeys(pinned)
        forced: dict[int, tuple[int, ...]] = {}
        for place in sorted(
            range(len(wanted)),
            key=lambda at: len(wanted[at].choices) - wanted[at].count,
        ):
            need = wanted[place]
            names = {one.resource for one in need.choices}
            own = [name for name in left if name in names][: need.count]
            forced[place] = tuple(self._number[name] for name in own)
            for name in own:
                del left[name]
        return tuple(
            self._ask(need, forced[place], has_table=has_table)
            for place, need in enumerate(wanted)
        )

    def _ask(self, need: Need, forced: tuple[int, ...], *, has_table: bool) -> Ask:
        numbers = sorted(self._number[one.resource] for one in need.choices)
        return Ask(
            forced=forced,
            free=tuple(one for one in numbers if one not in forced),
            sizes={
                self._number[one.resource]: one.size
                for one in need.choices
                if one.size is not None and not has_table
            },
            count=need.count - len(forced),
            demand=need.demand,
        )

    def _old(self, problem: Problem) -> dict[str, Old]:
        """For each key of the plan in force, its start and who served which need."""
        counts = {
            step.key: [len(ask.forced) + ask.count for ask in step.asks]
            for step in self.steps
        }
        found = {}
        for old in problem.previous:
            left = [self._number.get(name, -1) for name in old.resources]
            hands = []
            for count in counts.get(old.key, [1]):
                hands.append(frozenset(left[:count]))
                del left[:count]
            found[old.key] = Old(start=old.start, hands=tuple(hands))
        return found

    def _flexibility(self) -> list[int]:
        """How many needs each resource is a choice of."""
        counts = [0] * len(self.resources)
        asks = [ask for step in self.steps for ask in step.asks]
        asks += [hold.ask for block in self.blocks for hold in block.holds]
        for ask in asks:
            for resource in (*ask.forced, *ask.free):
                counts[resource] += 1
        return counts

    def _bound(self) -> frozenset[int]:
        """Steps that begin at a fixed tick, and all that those wait for."""
        found: set[int] = set()
        for step in reversed(self.steps):
            if step.fixed is not None or step.at in found:
                found.add(step.at)
                found.update(before for before, _ in self.into[step.at])
        return frozenset(found)

    def _blocks(self, problem: Problem) -> tuple[Block, ...]:
        """Spans that share an activity, or lie in each other's way, are one block."""
        before, after = self._before, self._after
        groups = [
            self._between(
                {self.index[span.first], self.index[span.last]}, before, after
            )
            for span in problem.spans
        ]
        merged: list[set[int]] = []
        while groups:
            group = groups.pop()
            touching = [other for other in merged if other & group]
            if touching:
                for other in touching:
                    merged.remove(other)
                    group |= other
                groups.append(self._between(group, before, after))
            else:
                merged.append(group)
        inside = set().union(*merged) if merged else set()
        alone = [{step.at} for step in self.steps if step.at not in inside]
        ordered = sorted([*merged, *alone], key=min)
        return tuple(self._block(steps, problem.spans) for steps in ordered)

    def step_of(self, key: str) -> int:
        """The step of an activity, or the first one of a span."""
        spans = {hold.key: hold.first for block in self.blocks for hold in block.holds}
        return spans[key] if key in spans else self.index[key]

    def is_kin(self, one: int, other: int) -> bool:
        """Whether one step waits for the other, directly or not."""
        return bool((self._before[one] | self._after[one]) >> other & 1)

    def _reach(self, links: list[list[tuple[int, Link]]]) -> list[int]:
        """For each step, all that the links lead to, as bits; and itself."""
        found = [1 << at for at in range(len(links))]
        order = range(len(links))
        for at in order if links is self.into else reversed(order):
            for other, _ in links[at]:
                found[at] |= found[other]
        return found

    def _between(
        self, group: set[int], before: list[int], after: list[int]
    ) -> set[int]:
        """The group and all that lies on a way from one of it to another."""
        ahead = behind = 0
        for at in group:
            ahead |= after[at]
            behind |= before[at]
        bits = ahead & behind
        return group | {at for at in range(len(self.steps)) if bits >> at & 1}

    def _block(self, steps: set[int], spans: Sequence[Span]) -> Block:
        holds = tuple(
            Hold(
                key=span.key,
                first=self.index[span.first],
                last=self.index[span.last],
                ask=self._asks((span.need,), span.pinned)[0],
            )
            for span in sorted(spans, key=lambda one: one.key)
            if self.index[span.first] in steps
        )
        outside = {one for at in steps for one, _ in self.into[at]} - steps
        return Block(
            steps=tuple(sorted(steps)), holds=holds, before=tuple(sorted(outside))
        )
