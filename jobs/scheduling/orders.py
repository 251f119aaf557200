"""Rules of what is placed first; textbook dispatch rules, from memory (pure)."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

from jobs.draw import Draw
from jobs.scheduling.blocks import Floor
from jobs.scheduling.draft import FOR_EVER, Draft
from jobs.scheduling.problem import Due, Level
from jobs.scheduling.serial import Key

NOISE = 0.05
"""Share of the keys' range; a few per cent."""
SETTLED = ", settled"


@dataclass(frozen=True, kw_only=True)
class Order:
    """A rule: its name, and for each block what comes first.

    waits  also the block's earliest start now, before all else
    whim   not 0: hands in another order than usual
    keep   what still fits where the plan in force has it stays there
    """

    name: str
    keys: tuple[float, ...]
    waits: bool = False
    keep: bool = False
    whim: int = 0

    def key(self, floor: Floor) -> Key:
        """As serial generation asks for it."""
        keys = self.keys
        if not self.waits:
            return lambda _, block: (keys[block],)
        return lambda draft, block: (_start_now(draft, floor, block), keys[block])

    def led_by(self, floor: Floor, steps: Sequence[int]) -> Order:
        """The same, but all that hangs together with these steps goes first."""
        keys = list(self.keys)
        for at in reversed(steps):
            first = min(keys) - 1
            for number, block in enumerate(floor.blocks):
                if any(floor.is_kin(one, at) for one in block.steps):
                    keys[number] = first
        return replace(self, name=f"{self.name}, stuck first", keys=tuple(keys))

    def shaken(self, draw: Draw) -> Order:
        """The same with a few per cent of noise."""
        finite = [key for key in self.keys if abs(key) < FOR_EVER]
        width = NOISE * (max(finite, default=0) - min(finite, default=0) + 1)
        return Order(
            name=f"{self.name}, shaken",
            keys=tuple(
                key + width * (draw.below(2001) - 1000) / 1000 for key in self.keys
            ),
            waits=self.waits,
            keep=self.keep,
        )


def settled(floor: Floor, order: Order, starts: tuple[int, ...]) -> Order:
    """In the order of these starts, which another order has led to."""
    name = order.name.removesuffix(SETTLED) + SETTLED
    return Order(name=name, keys=_by_block(floor, list(starts), min))


def orders(floor: Floor) -> tuple[Order, ...]:
    """The rules that suit the problem's goals."""
    return tuple(_orders(floor))


def _orders(floor: Floor) -> Iterator[Order]:
    tails = _tails(floor)
    promised = Level.LATE in floor.problem.levels and floor.problem.dues
    if promised:
        dues, latest, weights = _promises(floor)
        yield Order(name="due date", keys=_by_block(floor, dues, min))
        yield Order(name="latest start", keys=_by_block(floor, latest, min))
        mean = sum(tails) / max(1, len(tails))
        heavy = [at - mean * weight for at, weight in zip(latest, weights, strict=True)]
        yield Order(name="latest start, weighted", keys=_by_block(floor, heavy, min))
        yield Order(
            name="earliest start, then due date",
            keys=_by_block(floor, dues, min),
            waits=True,
        )
    else:
        longest = _by_block(floor, [-tail for tail in tails], min)
        latest = [float(-tail) for tail in tails]
        yield Order(name="most work remaining", keys=longest)
        yield Order(name="earliest start, then longest", keys=longest, waits=True)
    if floor.old:
        old = [
            float(floor.old[step.key].start)
            if step.key in floor.old
            else latest[step.at]
            for step in floor.steps
        ]
        keys = _by_block(floor, old, min)
        yield Order(name="old order", keys=keys)
        yield Order(name="old places", keys=keys, keep=True)


def _by_block(
    floor: Floor, by_step: list[float] | list[int], choose: Callable[..., float]
) -> tuple[float, ...]:
    return tuple(choose(by_step[at] for at in block.steps) for block in floor.blocks)


def _start_now(draft: Draft, floor: Floor, block: int) -> int:
    """Where the block's first step would begin now."""
    at = next(at for at in floor.blocks[block].steps if draft.times[at] is None)
    step = floor.steps[at]
    fit = draft.first_fit(step, draft.earliest_start(step))
    return fit[0] if fit else FOR_EVER


def _size(floor: Floor, at: int) -> int:
    step = floor.steps[at]
    if step.ends is None:
        return step.sizes[0]
    middle = step.ends[len(step.ends) // 2]
    return max(0, middle.value - middle.first)


def _tails(floor: Floor) -> list[int]:
    """Work from a step's start to the end of all that waits for it, the longest way."""
    tails = [0] * len(floor.steps)
    for step in reversed(floor.steps):
        size = _size(floor, step.at)
        tails[step.at] = max(
            [
                size,
                *(
                    tails[after] + link.lag + (0 if link.from_start else size)
                    for after, link in floor.out[step.at]
                ),
            ]
        )
    return tails


def _promises(floor: Floor) -> tuple[list[float], list[float], list[float]]:
    """For each step: the first promise behind it, its latest start for all, weight."""
    count = len(floor.steps)
    dues, latest = [float(FOR_EVER)] * count, [float(FOR_EVER)] * count
    weights = [0.0] * count
    for due in floor.problem.dues:
        at = floor.index[due.activity]
        last = _last_on_time(due, floor.problem.horizon)
        dues[at] = min(dues[at], last)
        latest[at] = min(latest[at], last - _size(floor, at))
        weights[at] = max(weights[at], due.weight)
    for step in reversed(floor.steps):
        at = step.at
        for after, link in floor.out[at]:
            size = 0 if link.from_start else _size(floor, at)
            dues[at] = min(dues[at], dues[after])
            latest[at] = min(latest[at], latest[after] - link.lag - size)
            weights[at] = max(weights[at], weights[after])
    return dues, latest, weights


def _last_on_time(due: Due, horizon: int) -> int:
    """The last end that keeps the promise; -1 if none does."""
    ticks = range(2 * horizon + 1)
    return bisect_right(ticks, 0, key=due.late) - 1
