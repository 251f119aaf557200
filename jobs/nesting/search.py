"""Search over the order in which blanks are offered to a builder (pure).

Aim: everything inside one length less than the best so far. What a try is worth is
the area it wastes on the way, which tells near misses apart.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from jobs.nesting.bands import fill_bands
from jobs.nesting.skyline import Placed, fill

NO_LIMIT = 1 << 40
HISTORY = 50
"""Late acceptance looks this many tries back (Burke, Bykov 2017, from memory)."""


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
            built = builder(order, modes, strip.height, NO_LIMIT * NO_LIMIT, first_fit)
            if best is None or built[:2] < best[:2]:
                best = built
    assert best is not None
    return packing(best, blanks=len(strip.sizes))


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
    if not start.complete or start.top <= bound or not tries:
        return start
    builder = Builder(strip)
    n = len(strip.sizes)
    area = sum(w * h for w, h in strip.sizes)
    draw = Draw(seed)
    modes = [2 if turn else 0 for turn in strip.may_turn]
    orders = sorted_orders(strip)
    order = orders[0]
    best = start
    goal = best.top - 1
    slack = strip.width * goal - area
    now = NO_LIMIT * NO_LIMIT
    history = [now] * HISTORY
    turners = [i for i in range(n) if strip.may_turn[i]]
    used = 0
    cut_short = False
    while used < tries and best.top > bound:
        if time.monotonic() > deadline:
            cut_short = True
            break
        used += 1
        roll = draw.below(8)
        new, new_modes = order, modes
        if roll < 2 and (turners or strip.knife):
            new_modes = modes[:]
            if turners and (roll or not strip.knife):
                i = turners[draw.below(len(turners))]
                new_modes[i] = (modes[i] & ~3) + draw.below(3)
            else:
                i = draw.below(n)
                new_modes[i] = (modes[i] & 3) + 4 * draw.below(3)
        else:
            new = order[:]
            a, b = draw.below(n), draw.below(n)
            if roll == 2:
                new.insert(b, new.pop(a))
            else:
                new[a], new[b] = new[b], new[a]
        worst = max(now, history[used % HISTORY])
        built = builder(new, new_modes, goal, worst)
        waste = built[0]
        if waste <= worst:
            order, modes, now = new, new_modes, waste
            if len(built[2]) == n:
                best = packing(built, blanks=n)
                goal = best.top - 1
                slack = strip.width * goal - area
                now = slack + strip.width * 2
                history = [now] * HISTORY
        history[used % HISTORY] = now
    return replace(best, tries=used, cut_short=cut_short)
