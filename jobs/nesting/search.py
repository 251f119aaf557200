"""Search over the order in which blanks are offered to a builder (pure).

Aim: everything inside one length less than the best so far. What a try is worth is
the area it wastes on the way, which tells near misses apart.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace

from jobs.nesting.bands import fill_bands
from jobs.nesting.bounds import reachable_mm
from jobs.nesting.skyline import Placed, fill

NO_LIMIT = 1 << 40
ANY = NO_LIMIT * NO_LIMIT
"""A limit on waste that limits nothing."""
HISTORY = 200
"""Late acceptance looks this many tries back (Burke, Bykov 2017, from memory)."""
BURST = 20
"""Tries of one chain before the next chain's turn, and between looks at the clock."""


@dataclass(frozen=True, kw_only=True)
class Strip:
    """Inflated blanks and the width they share: integers only.

    sizes     (width, length) by blank
    may_turn  by blank
    height    length that must not be passed, or NO_LIMIT
    """

    sizes: tuple[tuple[int, int], ...]
    may_turn: tuple[bool, ...]
    width: int
    height: int = NO_LIMIT
    knife: bool = False


@dataclass(frozen=True, kw_only=True)
class Packing:
    """Blanks placed: (blank, x, y, turned), the length used, and how found."""

    placed: tuple[tuple[int, int, int, bool], ...]
    top: int
    complete: bool
    tries: int = 0
    cut_short: bool = False
    closed: bool = False


class Draw:
    """A small seeded generator of our own, equal on every machine (xorshift64*).

    Source: Vigna 2016, ACM TOMS 42:30 (constants from memory).
    """

    def __init__(self, seed: int) -> None:
        self.state = (seed * 0x9E3779B97F4A7C15 + 0x1234567) % (1 << 64) or 1

    def below(self, bound: int) -> int:
        """A whole number from 0 to bound - 1."""
        state = self.state
        state ^= state >> 12
        state ^= (state << 25) & 0xFFFFFFFFFFFFFFFF
        state ^= state >> 27
        self.state = state
        return ((state * 0x2545F4914F6CDD1D >> 32) & 0xFFFFFFFF) * bound >> 32


def sorted_orders(strip: Strip) -> list[list[int]]:
    """The five starting orders: area, width, length, perimeter, longer side."""
    sizes = strip.sizes
    keys: list[Callable[[int], int]] = [
        lambda i: -sizes[i][0] * sizes[i][1],
        lambda i: -sizes[i][0],
        lambda i: -sizes[i][1],
        lambda i: -sizes[i][0] - sizes[i][1],
        lambda i: -max(sizes[i]),
    ]
    return [sorted(range(len(sizes)), key=key) for key in keys]


class Builder:
    """Calls the right builder for one strip; modes say how each blank may lie."""

    def __init__(self, strip: Strip) -> None:
        self.strip = strip
        self.wide = [side for w, h in strip.sizes for side in (w, h)]
        self.long = [side for w, h in strip.sizes for side in (h, w)]

    def __call__(
        self,
        order: Sequence[int],
        modes: Sequence[int],
        height: int,
        max_waste: int,
        first_fit: bool = False,
    ) -> tuple[int, int, Placed]:
        """Build once. Mode 0: as it is, 1: turned, 2: either; 4 and 8 steer splits."""
        codes: list[int] = []
        for i in order:
            mode = modes[i] & 3
            if mode == 2:
                codes += (2 * i, 2 * i + 1)
            else:
                codes.append(2 * i + mode)
        strip = self.strip
        if strip.knife:
            splits = [mode >> 2 for mode in modes]
            return fill_bands(
                codes, self.wide, self.long, strip.width, height, max_waste, splits
            )
        return fill(
            codes, self.wide, self.long, strip.width, height, max_waste, first_fit
        )


def packing(built: tuple[int, int, Placed], *, blanks: int) -> Packing:
    """A builder's answer with codes taken apart."""
    _, top, placed = built
    return Packing(
        placed=tuple((code >> 1, x, y, bool(code & 1)) for code, x, y in placed),
        top=top,
        complete=len(placed) == blanks,
    )


def quick(strip: Strip) -> Packing:
    """The best of the sorted orders: all blanks if they fit, else the most area."""
    builder = Builder(strip)
    modes = [2 if turn else 0 for turn in strip.may_turn]
    best: tuple[int, int, Placed] | None = None
    for first_fit in (False, True):
        for order in sorted_orders(strip):
            built = builder(order, modes, strip.height, ANY, first_fit)
            if best is None or built[:2] < best[:2]:
                best = built
    assert best is not None
    return packing(best, blanks=len(strip.sizes))


@dataclass(kw_only=True)
class _Chain:
    """One walk through orders and modes, with what it has accepted of late."""

    order: list[int]
    modes: list[int]
    movable: tuple[int, ...]
    splits: bool
    waste: int = 0
    placed: Placed = field(default_factory=list)
    history: list[int] = field(default_factory=list)
    tried: int = 0

    def settle(self, built: tuple[int, int, Placed]) -> None:
        """Start anew from a build: what was accepted before counts no more."""
        self.waste, _, self.placed = built
        self.history = [self.waste] * HISTORY

    def next(self, draw: Draw) -> tuple[list[int], list[int]]:
        """A neighbour: another mode for one blank, or another place in the order."""
        chance = draw.below(20)
        if chance < 5 and (self.movable or self.splits):
            return self.order, self._other_mode(draw)
        order = self.order[:]
        n = len(order)
        at, to = draw.below(n), draw.below(n)
        left_out = self._left_out() if chance < 9 else []
        if left_out:
            at = left_out[draw.below(len(left_out))]
            to = draw.below(at + 1)
        if chance & 1 and (left_out or chance > 16):
            order.insert(to, order.pop(at))
        else:
            order[at], order[to] = order[to], order[at]
        return order, self.modes

    def _left_out(self) -> list[int]:
        placed = {code >> 1 for code, _, _ in self.placed}
        return [at for at, i in enumerate(self.order) if i not in placed]

    def _other_mode(self, draw: Draw) -> list[int]:
        modes = self.modes[:]
        if self.splits and (not self.movable or draw.below(2)):
            i = draw.below(len(modes))
            modes[i] = (modes[i] & 3) + 4 * draw.below(3)
        else:
            i = self.movable[draw.below(len(self.movable))]
            modes[i] = (modes[i] & ~3) + draw.below(3)
        return modes


def improve(
    strip: Strip,
    start: Packing,
    *,
    bound: int,
    tries: int,
    seed: int,
    deadline: float,
) -> Packing:
    """Search until the bound is met, the tries are used or the clock says stop."""
    if not tries or not strip.sizes or (start.complete and start.top <= bound):
        return start
    walk = _Walk(strip, start, seed)
    used = 0
    while used < tries and not (walk.best.complete and walk.best.top <= bound):
        if time.monotonic() > deadline:
            return replace(walk.best, tries=used, cut_short=True)
        chain = walk.chains[used // BURST % len(walk.chains)]
        for _ in range(min(BURST, tries - used)):
            used += 1
            if walk.step(chain):
                break
    return replace(walk.best, tries=used)


class _Walk:
    """The chains of one search, the best packing so far and the goal below it."""

    def __init__(self, strip: Strip, start: Packing, seed: int) -> None:
        self.strip = strip
        self.builder = Builder(strip)
        self.draw = Draw(seed)
        self.best = start
        self.lengths = reachable_mm(
            sizes=strip.sizes,
            may_turn=strip.may_turn,
            limit_mm=start.top if start.complete else strip.height,
        )
        self.goal = self._next_goal()
        self.best_waste = NO_LIMIT * NO_LIMIT
        turners = tuple(i for i, turn in enumerate(strip.may_turn) if turn)
        self.chains = [self._chain((), knife=strip.knife)]
        if turners:
            self.chains.append(self._chain(turners, knife=strip.knife))

    def _next_goal(self) -> int:
        """The longest length below the best that sums of blanks can reach."""
        below = self.best.top if self.best.complete else self.strip.height + 1
        return (self.lengths & ((1 << below) - 1)).bit_length() - 1

    def _chain(self, movable: tuple[int, ...], *, knife: bool) -> _Chain:
        """A chain that begins at its best sorted order."""
        modes = [2 if turn else 0 for turn in self.strip.may_turn]
        orders = sorted_orders(self.strip)
        built = [self.builder(order, modes, self.goal, ANY) for order in orders]
        at = min(range(len(orders)), key=lambda at: built[at][0])
        chain = _Chain(order=orders[at], modes=modes, movable=movable, splits=knife)
        chain.settle(built[at])
        self._note(built[at])
        return chain

    def step(self, chain: _Chain) -> bool:
        """One try; true when the best packing got better."""
        order, modes = chain.next(self.draw)
        chain.tried += 1
        spot = chain.tried % HISTORY
        limit = max(chain.waste, chain.history[spot])
        built = self.builder(order, modes, self.goal, limit)
        better = False
        if built[0] <= limit:
            chain.order, chain.modes = order, modes
            chain.waste, _, chain.placed = built
            better = self._note(built)
        chain.history[spot] = chain.waste
        return better

    def _note(self, built: tuple[int, int, Placed]) -> bool:
        """Keep a better packing; a complete one lowers the goal for every chain."""
        complete = len(built[2]) == len(self.strip.sizes)
        if not complete:
            if not self.best.complete and built[0] < self.best_waste:
                self.best_waste = built[0]
                self.best = packing(built, blanks=len(self.strip.sizes))
            return False
        self.best = packing(built, blanks=len(self.strip.sizes))
        self.goal = self._next_goal()
        for chain in getattr(self, "chains", []):
            chain.settle(self.builder(chain.order, chain.modes, self.goal, ANY))
        return True
