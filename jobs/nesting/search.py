"""Search over the order in which blanks are offered to a builder (pure).

Aim: everything inside one length less than the best so far. What a try is worth is
the area it wastes on the way, which tells near misses apart.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from jobs.draw import Draw
from jobs.nesting.bands import fill_bands
from jobs.nesting.bounds import reachable_mm
from jobs.nesting.skyline import Placed, fill

NO_LIMIT = 1 << 40
ANY = NO_LIMIT * NO_LIMIT
"""A limit on waste that limits nothing."""
COARSE_MEMORY, FINE_MEMORY = 200, 3
"""Late acceptance looks this many tries back (Burke, Bykov 2017, from memory)."""
FINE = 2500
"""Lengths are fine if the next shorter one is less than this part below."""
COARSE_STALE, FINE_STALE = 2500, 6000
"""Tries without news after which the walk begins anew."""
SHUFFLED = 4
"""One swap for so many blanks when it does."""
GLANCE = 20
"""Tries between two looks at the clock."""

Built = tuple[int, int, Placed]


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
    """Blanks placed: (blank, x, y, turned), the length used, and how found.

    knife_best  no plan that a knife can part is shorter
    """

    placed: tuple[tuple[int, int, int, bool], ...]
    top: int
    complete: bool
    tries: int = 0
    cut_short: bool = False
    closed: bool = False
    knife_best: bool = False


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


def starts(strip: Strip) -> list[tuple[list[int], list[int]]]:
    """(order, modes): each sorted order, turns left open, all across or all along."""
    turn_modes = [[2 if turn else 0 for turn in strip.may_turn]]
    if any(strip.may_turn):
        turned = [
            (turn and h > w and h <= strip.width, turn and w > h and h <= strip.width)
            for (w, h), turn in zip(strip.sizes, strip.may_turn, strict=True)
        ]
        turn_modes += [[int(across) for across, _ in turned]]
        turn_modes += [[int(along) for _, along in turned]]
        for modes in turn_modes[1:]:
            for i, (w, _) in enumerate(strip.sizes):
                if strip.may_turn[i] and not modes[i] and w > strip.width:
                    modes[i] = 1
    return [(order, modes) for modes in turn_modes for order in sorted_orders(strip)]


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
    ) -> Built:
        """Build once. Mode 0: as it is, 1: turned, 2: either; 4 and up steer bands."""
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
                codes,
                self.wide,
                self.long,
                strip.width,
                height,
                max_waste,
                splits,
                first_fit,
            )
        return fill(
            codes, self.wide, self.long, strip.width, height, max_waste, first_fit
        )


def packing(built: Built, *, blanks: int) -> Packing:
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
    best: Built | None = None
    for first_fit in (False, True):
        for order, modes in starts(strip):
            built = builder(order, modes, strip.height, ANY, first_fit)
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
    if not tries or not strip.sizes or (start.complete and start.top <= bound):
        return start
    walk = _Walk(strip, start, Draw(seed))
    for used in range(tries):
        if walk.best.complete and walk.best.top <= bound:
            return replace(walk.best, tries=used)
        if used % GLANCE == 0 and time.monotonic() > deadline:
            return replace(walk.best, tries=used, cut_short=True)
        walk.step()
    return replace(walk.best, tries=tries)


class _Walk:
    """One walk through orders and modes, with what it has accepted of late.

    Coarse lengths: build inside the next shorter length and count the area lost,
    because the length alone hardly ever changes. Fine lengths: the length itself.
    """

    def __init__(self, strip: Strip, start: Packing, draw: Draw) -> None:
        self.strip = strip
        self.draw = draw
        self.best = start
        self.builder = Builder(strip)
        self.n = len(strip.sizes)
        self.area = sum(w * h for w, h in strip.sizes)
        self.movable = [i for i, turn in enumerate(strip.may_turn) if turn]
        self.lengths = reachable_mm(
            sizes=strip.sizes,
            may_turn=strip.may_turn,
            limit_mm=start.top if start.complete else strip.height,
        )
        self.goal = self._next_goal()
        self.fine = start.complete and (start.top - self.goal) * FINE < start.top
        self.memory = FINE_MEMORY if self.fine else COARSE_MEMORY
        self.starts = self.tried = 0
        self.least_lost = ANY
        self._begin()

    def _next_goal(self) -> int:
        """The longest length below the best that sums of blanks can reach."""
        below = self.best.top if self.best.complete else self.strip.height + 1
        return (self.lengths & ((1 << below) - 1)).bit_length() - 1

    def _begin(self) -> None:
        """From the best sorted order; later from each in turn, a little shuffled."""
        offers = starts(self.strip)
        if self.starts:
            order, modes = offers[self.starts % len(offers)]
            for _ in range(self.n // SHUFFLED):
                self._swap(order)
            offers = [(order, modes)]
        self.starts += 1
        built = [self._build(order, modes, ANY) for order, modes in offers]
        at = min(range(len(offers)), key=lambda at: self._worth(built[at]))
        self.order, self.modes = offers[at]
        self._settle(built[at])
        self._note(built[at])

    def _settle(self, built: Built) -> None:
        """Start remembering anew from one build."""
        self.worth, self.placed = self._worth(built), built[2]
        self.history = [self.worth] * self.memory
        self.least, self.stale = self.worth, 0

    def _build(self, order: list[int], modes: list[int], limit: int) -> Built:
        if not self.fine:
            return self.builder(order, modes, self.goal, limit)
        lost = self.strip.width * limit - self.area
        first_fit = not self.strip.knife
        return self.builder(order, modes, min(limit, NO_LIMIT), lost, first_fit)

    def _worth(self, built: Built) -> int:
        if not self.fine:
            return built[0]
        return built[1] if len(built[2]) == self.n else ANY

    def step(self) -> None:
        """One try: a neighbour is taken unless it is worse than now and than then."""
        order, modes = self._neighbour()
        self.tried += 1
        spot = self.tried % self.memory
        limit = max(self.worth, self.history[spot])
        built = self._build(order, modes, limit)
        self.stale += 1
        if (worth := self._worth(built)) <= limit:
            self.order, self.modes = order, modes
            self.worth, self.placed = worth, built[2]
            if worth < self.least:
                self.least, self.stale = worth, 0
            self._note(built)
        self.history[spot] = self.worth
        if self.stale > (FINE_STALE if self.fine else COARSE_STALE):
            self._begin()

    def _note(self, built: Built) -> None:
        """Keep a better packing; on coarse lengths that sets a new goal."""
        if len(built[2]) < self.n:
            if not self.best.complete and built[0] < self.least_lost:
                self.least_lost = built[0]
                self.best = packing(built, blanks=self.n)
        elif not self.best.complete or built[1] < self.best.top:
            self.best = packing(built, blanks=self.n)
            self.goal = self._next_goal()
            if not self.fine:
                self._settle(self.builder(self.order, self.modes, self.goal, ANY))

    def _neighbour(self) -> tuple[list[int], list[int]]:
        """Another mode for one blank, or another place in the order."""
        chance = self.draw.below(20)
        if chance < 5 and (self.movable or self.strip.knife):
            return self.order, self._other_mode()
        order = self.order[:]
        left_out = self._left_out() if chance < 9 else []
        if left_out:
            at = left_out[self.draw.below(len(left_out))]
            to = self.draw.below(at + 1)
            if chance & 1:
                order.insert(to, order.pop(at))
            else:
                order[at], order[to] = order[to], order[at]
        elif chance > 16:
            order.insert(self.draw.below(self.n), order.pop(self.draw.below(self.n)))
        else:
            self._swap(order)
        return order, self.modes

    def _swap(self, order: list[int]) -> None:
        at, to = self.draw.below(self.n), self.draw.below(self.n)
        order[at], order[to] = order[to], order[at]

    def _left_out(self) -> list[int]:
        if len(self.placed) == self.n:
            return []
        placed = {code >> 1 for code, _, _ in self.placed}
        return [at for at, i in enumerate(self.order) if i not in placed]

    def _other_mode(self) -> list[int]:
        modes = self.modes[:]
        if self.strip.knife and (not self.movable or self.draw.below(2)):
            i = self.draw.below(self.n)
            split, reach = self.draw.below(3), max(0, self.draw.below(6) - 2)
            modes[i] = (modes[i] & 3) + 4 * split + 16 * reach
        else:
            i = self.movable[self.draw.below(len(self.movable))]
            modes[i] = (modes[i] & ~3) + self.draw.below(3)
        return modes
