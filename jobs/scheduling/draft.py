"""A plan in the making: what is placed so far, and where the next piece fits (pure)."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Iterator
from itertools import combinations

from jobs.scheduling.blocks import Ask, Floor, Hold, Step
from jobs.scheduling.occupancy import (
    Copy,
    Occupancy,
    all_but,
    first_free,
    last_free,
    mask,
)
from jobs.scheduling.problem import Interval, Link, Placed, Run, look_up
from jobs.scheduling.ready_check import earliest_after

FOR_EVER = 1 << 40
Kept = tuple[Copy, list[int], dict[str, tuple[int, int, int]]]


class Draft:
    """Starts, ends and hands of the steps placed so far; None: not yet placed."""

    def __init__(self, floor: Floor, *, whim: int = 0) -> None:
        """`whim`: who is asked first, where the usual order has led nowhere."""
        self.floor = floor
        self.whim = whim
        self.taken = Occupancy(capacities=floor.capacities, closed=floor.closed)
        count = len(floor.steps)
        self.times: list[Interval | None] = [None] * count
        self.hands: list[tuple[tuple[int, ...], ...]] = [()] * count
        self.held: dict[str, tuple[int, int, int]] = {}
        self.load = [0] * len(floor.resources)

    def copy(self) -> Kept:
        """What `restore` takes back to."""
        return self.taken.copy(), self.load[:], dict(self.held)

    def restore(self, kept: Kept, steps: Iterable[int]) -> None:
        """Back to a copy, without these steps; the copy stays good."""
        self.taken.restore(kept[0])
        self.load, self.held = kept[1][:], dict(kept[2])
        for at in steps:
            self.times[at], self.hands[at] = None, ()

    def placed(self) -> tuple[Placed, ...]:
        """Activities and spans, by key."""
        names = self.floor.resources
        found = [
            Placed(
                key=step.key,
                start=times[0],
                end=times[1],
                resources=tuple(names[one] for each in hands for one in each),
            )
            for step, times, hands in zip(
                self.floor.steps, self.times, self.hands, strict=True
            )
            if times is not None
        ]
        found += [
            Placed(key=key, start=start, end=end, resources=(names[resource],))
            for key, (start, end, resource) in self.held.items()
        ]
        return tuple(sorted(found, key=lambda one: one.key))

    def starts(self) -> tuple[int, ...]:
        """Of each step; 0 where it is not placed."""
        return tuple(times[0] if times else 0 for times in self.times)

    def earliest_start(self, step: Step, at: int = 0) -> int:
        """The first start that links allow; what it waits for is placed."""
        for before, link in self.floor.into[step.at]:
            times = self.times[before]
            if times is not None:
                at = max(at, earliest_after(link, start=times[0], end=times[1]))
        return at

    def follows_fit(self, step: Step, start: int, end: int) -> bool:
        """Whether what comes after and is placed already still comes after."""
        for after, link in self.floor.out[step.at]:
            times = self.times[after]
            if times and earliest_after(link, start=start, end=end) > times[0]:
                return False
        return True

    def first_fit(self, step: Step, at: int) -> Interval | None:
        """Where the step ends first, beginning at `at` or later."""
        if step.fixed is not None:
            return self._only_at(step, step.fixed) if at <= step.fixed else None
        if step.ends is not None:
            return self._first_by_table(step, step.ends, at)
        best: Interval | None = None
        for size in step.sizes:
            start = first_free(step.shut | self.blocked(step, size), at)
            if start is not None and (best is None or start + size < best[1]):
                best = (start, start + size)
        return best

    def old_fit(self, step: Step) -> Interval | None:
        """Where the plan in force has it, if it still fits there."""
        old = self.floor.old.get(step.key)
        if old is None or step.fixed not in (None, old.start):
            return None
        start, size = old.start, step.size
        named = [
            ask.sizes[one]
            for ask, hands in zip(step.asks, old.hands, strict=False)
            for one in hands
            if one in ask.sizes
        ]
        end = look_up(step.ends, start) if step.ends else start + max(named or [size])
        is_free = start >= self.earliest_start(step) and self._fits(step, start, end)
        return (start, end) if is_free and self.follows_fit(step, start, end) else None

    def last_fit(self, step: Step, at: int, until: int) -> Interval | None:
        """Where the step begins last: from `at` on, what follows still fitting.

        It ends no later than `until`.
        """
        last_start, last_end = self._limits(step)
        last_end = min(last_end, until)
        best: Interval | None = None
        for size in step.sizes if step.ends is None else (0,):
            blocked = step.shut | self.blocked(step, size)
            high = min(last_start, last_end - size)
            while (start := last_free(blocked, at, high)) is not None:
                end = look_up(step.ends, start) if step.ends else start + size
                if end <= last_end and self._fits(step, start, end):
                    if best is None or start > best[0]:
                        best = (start, end)
                    break
                high = start - 1
        return best

    def _limits(self, step: Step) -> Interval:
        """The last start and the last end that what follows allows."""
        last_start = last_end = FOR_EVER
        for after, link in self.floor.out[step.at]:
            times = self.times[after]
            if times is not None:
                last = _last_before(link, times[0])
                if link.from_start:
                    last_start = min(last_start, last)
                else:
                    last_end = min(last_end, last)
        return last_start, last_end

    def blocked(self, step: Step, size: int) -> int:
        """Starts at which the step's needs are not met for so long."""
        total = 0
        for ask in step.asks:
            total |= self._ask_blocked(ask, size)
        return total

    def _ask_blocked(self, ask: Ask, size: int) -> int:
        taken, demand, sizes = self.taken, ask.demand, ask.sizes
        total = 0
        for resource in ask.forced:
            total |= taken.blocked(resource, demand, size)
            if sizes.get(resource, 0) > size:
                return -1
        if ask.count:
            free = ask.free
            if sizes:
                free = tuple(one for one in free if sizes.get(one, 0) <= size)
            each = [taken.blocked(one, demand, size) for one in free]
            total |= all_but(each, ask.count)
        return total

    def _first_by_table(
        self, step: Step, ends: tuple[Run, ...], at: int
    ) -> Interval | None:
        """As `first_fit`; run by run, since within one all end alike or last alike."""
        for place, run in enumerate(ends):
            until = ends[place + 1].first if place + 1 < len(ends) else FOR_EVER
            low = max(at, run.first)
            if low >= until:
                continue
            size = run.value - run.first if run.rise else 0
            blocked = step.shut | self.blocked(step, size)
            start = first_free(blocked, low)
            while start is not None and start < until:
                end = run.value + run.rise * (start - run.first)
                if run.rise or self._fits(step, start, end):
                    return (start, end)
                start = first_free(blocked, start + 1)
        return None

    def _only_at(self, step: Step, start: int) -> Interval | None:
        """At this tick or nowhere."""
        for size in step.sizes:
            end = look_up(step.ends, start) if step.ends else start + size
            if self._fits(step, start, end):
                return (start, end)
        return None

    def _fits(self, step: Step, start: int, end: int) -> bool:
        blocked = self.blocked(step, end - start) | (
            0 if step.fixed == start else step.shut
        )
        return not blocked >> start & 1

    def put(self, step: Step, start: int, end: int) -> bool:
        """Take hands for these ticks; False, and nothing taken, if there are none."""
        kept = self.taken.copy()
        chosen: list[tuple[int, ...]] = []
        if not self._choose(step, start, end, chosen):
            self.taken.restore(kept)
            return False
        named = [
            ask.sizes[one]
            for ask, hands in zip(step.asks, chosen, strict=True)
            for one in hands
            if one in ask.sizes
        ]
        shorter = start + max(named) if named and step.ends is None else end
        if shorter != end:
            self.taken.restore(kept)
            end = shorter
            for ask, hands in zip(step.asks, chosen, strict=True):
                for one in hands:
                    self.taken.take(one, ask.demand, start, end)
        self.times[step.at] = (start, end)
        self.hands[step.at] = tuple(chosen)
        for hands in chosen:
            for one in hands:
                self.load[one] += end - start
        return True

    def lift(self, step: Step) -> None:
        """Take a placed step out; its spans stay held."""
        times = self.times[step.at]
        if times is None:
            return
        for ask, hands in zip(step.asks, self.hands[step.at], strict=True):
            for one in hands:
                self.taken.give_back(one, ask.demand, *times)
                self.load[one] -= times[1] - times[0]
        self.times[step.at], self.hands[step.at] = None, ()

    def _choose(
        self, step: Step, start: int, end: int, chosen: list[tuple[int, ...]]
    ) -> bool:
        """Hands for one need after the other, back when a later one finds none."""
        if len(chosen) == len(step.asks):
            return True
        ask = step.asks[len(chosen)]
        kept = self.taken.copy()
        for hands in self._hands(step, len(chosen), start, end):
            for one in hands:
                self.taken.take(one, ask.demand, start, end)
            chosen.append(tuple(sorted(hands)))
            if self._choose(step, start, end, chosen):
                return True
            chosen.pop()
            self.taken.restore(kept)
        return False

    def _hands(
        self, step: Step, place: int, start: int, end: int
    ) -> Iterator[tuple[int, ...]]:
        """Who may serve one of the needs, the best first."""
        ask = step.asks[place]
        free = [one for one in ask.free if self._is_free(ask, one, start, end)]
        if any(not self._is_free(ask, one, start, end) for one in ask.forced):
            return
        old = self._old_hands(step.key, place)
        mates = {
            one
            for mate in self.floor.mates[step.at]
            for hands in self.hands[mate]
            for one in hands
        }
        flexibility, load = self.floor.flexibility, self.load
        free.sort(
            key=lambda one: (
                one not in old,
                ask.sizes.get(one, 0),
                one not in mates,
                (one + 1) * 37 * self.whim % 101,
                flexibility[one],
                load[one],
                one,
            )
        )
        for more in combinations(free, ask.count):
            yield (*ask.forced, *more)

    def _old_hands(self, key: str, place: int) -> frozenset[int]:
        """Who serves that need in the plan in force."""
        old = self.floor.old.get(key)
        return old.hands[place] if old and place < len(old.hands) else frozenset()

    def _is_free(self, ask: Ask, resource: int, start: int, end: int) -> bool:
        if end - start < ask.sizes.get(resource, 0):
            return False
        return not self.taken.blocked(resource, ask.demand, end - start) >> start & 1

    def hold(self, hold: Hold, start: int, end: int) -> int | None:
        """Hold one resource for a span; else the tick before which none is free.

        A span held already keeps its resource if it can.
        """
        ask = hold.ask
        had = self.let_go(hold)
        busy = {
            one: (self.taken.busy(one, ask.demand) & mask(start, end)).bit_length()
            for one in ask.forced or ask.free
        }
        free = [one for one, last in busy.items() if not last]
        if not free:
            return min(busy.values())
        old = self._old_hands(hold.key, 0)
        flexibility, load = self.floor.flexibility, self.load
        best = min(
            free,
            key=lambda one: (
                one != had,
                one not in old,
                flexibility[one],
                load[one],
                one,
            ),
        )
        self.taken.take(best, ask.demand, start, end)
        self.held[hold.key] = (start, end, best)
        self.load[best] += end - start
        return None

    def let_go(self, hold: Hold) -> int | None:
        """Let a held span go; the resource that it had."""
        if hold.key not in self.held:
            return None
        start, end, resource = self.held.pop(hold.key)
        self.taken.give_back(resource, hold.ask.demand, start, end)
        self.load[resource] -= end - start
        return resource


def _last_before(link: Link, start: int) -> int:
    """The last tick of `before` that lets `after` begin at this start; -1: none."""

    def first(at: int) -> int:
        return earliest_after(link, start=at, end=at)

    return bisect_right(range(max(0, start - link.lag + 1)), start, key=first) - 1
