"""Knife plans of few blanks a band: blanks change bands, each band cut best (pure).

The order search builds bands from an order and cannot see how well one band could be
cut. Here a band is a set of a few blanks whose shortest knife plan is known exactly,
and the search moves and swaps blanks between bands. Sets are bits of an integer.
"""

from __future__ import annotations

import math
import time
from collections.abc import Sequence
from dataclasses import replace

from jobs.draw import Draw
from jobs.nesting.knife import groups_along
from jobs.nesting.search import Packing, Strip

MOST_IN_BAND = 6
"""Blanks in a band; one more triples the work on it."""
FEW_IN_BAND = 5.0
"""Blanks a band, in the mean, up to which this search beats the order search."""
FINE = 500
"""Steps of length in a plan from which it does: with fewer, hardly a move counts."""
MOVES_A_TRY = 16
"""Moves that take about as long as one try of the order search."""
MEMORY = 50
"""Late acceptance looks this many moves back."""
STALE = 60_000
"""Moves without news after which the best plan is shaken."""
SHAKEN = 3
"""Blanks moved at random when it is."""
GLANCE = 64
"""Moves between two looks at the clock."""
MOST_KNOWN = 150_000
"""Sets remembered; beyond, all but single blanks are forgotten."""

Shapes = tuple[tuple[int, int], ...]
"""(width, length) that a set can be cut from, from narrow and long to wide and short:
none of them is both narrower and shorter than another."""


def is_for(strip: Strip, found: Packing) -> bool:
    """Whether this search can begin from a plan: all placed, few blanks a band."""
    if not strip.knife or not found.complete or len(strip.sizes) < 2:
        return False
    step = math.gcd(*(side for size in strip.sizes for side in size))
    if found.top < FINE * step:
        return False
    return len(strip.sizes) <= FEW_IN_BAND * len(_bands(strip, found))


def exchange(
    strip: Strip, found: Packing, *, bound: int, tries: int, seed: int, deadline: float
) -> Packing:
    """Search until the bound is met, the tries are used or the clock says stop."""
    search = _Exchange(strip, found, Draw(seed))
    moves = tries * MOVES_A_TRY
    used, late = 0, False
    while used < moves and search.best > bound and not late:
        if used % GLANCE == 0:
            late = time.monotonic() > deadline
        search.move()
        used += 1
    found = replace(
        found, tries=found.tries + used // MOVES_A_TRY, cut_short=found.cut_short | late
    )
    if search.best >= found.top:
        return found
    return replace(found, placed=tuple(search.layout()), top=search.best)


def _bands(strip: Strip, found: Packing) -> list[int]:
    """The plan's blanks, parted at every cut across the roll."""
    boxes = []
    for i, x, y, turned in found.placed:
        w, h = strip.sizes[i][::-1] if turned else strip.sizes[i]
        boxes.append((x, y, x + w, y + h))
    at = {box: i for box, (i, *_) in zip(boxes, found.placed, strict=True)}
    bands: list[int] = []
    for part in groups_along(boxes, axis=1):
        for start in range(0, len(part), MOST_IN_BAND):
            some = part[start : start + MOST_IN_BAND]
            bands.append(sum(1 << at[box] for box in some))
    return bands


class _Shapes:
    """How narrow and how short each set of blanks can be cut, found once."""

    def __init__(self, strip: Strip) -> None:
        self.width = strip.width
        self.single = {
            1 << i: _least([size, size[::-1]] if turn else [size], strip.width)
            for i, (size, turn) in enumerate(
                zip(strip.sizes, strip.may_turn, strict=True)
            )
        }
        self.known: dict[int, Shapes] = dict(self.single)
        self.lengths: dict[int, int] = {0: 0}

    def length(self, blanks: int) -> int:
        """The shortest band that the set can be cut from."""
        length = self.lengths.get(blanks)
        if length is None:
            if len(self.known) > MOST_KNOWN:
                self.known = dict(self.single)
            length = self.lengths[blanks] = self.of(blanks)[-1][1]
        return length

    def of(self, blanks: int) -> Shapes:
        """Every way to part the set in two, side by side or one behind the other."""
        known = self.known
        if (shapes := known.get(blanks)) is not None:
            return shapes
        width = self.width
        rest = blanks & (blanks - 1)
        least: dict[int, int] = {}
        part = rest
        while part:
            ours = known.get(part) or self.of(part)
            theirs = known.get(blanks ^ part) or self.of(blanks ^ part)
            # Side by side from the narrowest on: widen whichever is longer.
            i, j, last, least_last = 0, 0, len(theirs), len(ours)
            while i < last and j < least_last:
                w1, h1 = theirs[i]
                w2, h2 = ours[j]
                w = w1 + w2
                if w > width:
                    break
                if h1 > h2:
                    h = h1
                    i += 1
                else:
                    h = h2
                    j += 1
                    if h1 == h2:
                        i += 1
                if h < least.get(w, h + 1):
                    least[w] = h
            # One behind the other from the shortest on: narrow whichever is wider.
            i, j = last - 1, least_last - 1
            while i >= 0 and j >= 0:
                w1, h1 = theirs[i]
                w2, h2 = ours[j]
                h = h1 + h2
                if w1 > w2:
                    w = w1
                    i -= 1
                else:
                    w = w2
                    j -= 1
                    if w1 == w2:
                        i -= 1
                if h < least.get(w, h + 1):
                    least[w] = h
            part = (part - 1) & rest
        shapes = known[blanks] = _least(list(least.items()), width)
        return shapes

    def lay(
        self, blanks: int, x: int, y: int, width: int, length: int
    ) -> list[tuple[int, int, int, int, int]]:
        """(blank, x, y, width, length) of each in a rectangle that holds the set."""
        if blanks in self.single:
            w, h = next(s for s in self.of(blanks) if s[0] <= width and s[1] <= length)
            return [(blanks.bit_length() - 1, x, y, w, h)]
        rest = blanks & (blanks - 1)
        part = rest
        while part:
            other = blanks ^ part
            for w1, h1 in self.of(other):
                for w2, h2 in self.of(part):
                    if w1 + w2 <= width and max(h1, h2) <= length:
                        return [
                            *self.lay(other, x, y, w1, h1),
                            *self.lay(part, x + w1, y, w2, h2),
                        ]
                    if max(w1, w2) <= width and h1 + h2 <= length:
                        return [
                            *self.lay(other, x, y, w1, h1),
                            *self.lay(part, x, y + h1, w2, h2),
                        ]
            part = (part - 1) & rest
        raise AssertionError("a known shape holds its set")


def _least(shapes: Sequence[tuple[int, int]], width: int) -> Shapes:
    """Shapes that fit and that no other beats, narrow ones first."""
    kept: list[tuple[int, int]] = []
    for w, h in sorted(shapes):
        if w <= width and (not kept or h < kept[-1][1]):
            kept.append((w, h))
    return tuple(kept)


class _Exchange:
    """Bands as sets of blanks, their lengths, and what was accepted of late."""

    def __init__(self, strip: Strip, found: Packing, draw: Draw) -> None:
        self.strip = strip
        self.draw = draw
        self.n = len(strip.sizes)
        self.shapes = _Shapes(strip)
        self.area = [w * h for w, h in strip.sizes]
        self._take(_bands(strip, found))
        self.best, self.best_bands = self.now, self.bands[:]

    def _take(self, bands: Sequence[int]) -> None:
        """Begin from these bands, and an empty one."""
        self.bands = [*bands, 0]
        self.where = [0] * self.n
        self.areas = [0] * len(self.bands)
        for at, band in enumerate(self.bands):
            for i in range(self.n):
                if band >> i & 1:
                    self.where[i] = at
                    self.areas[at] += self.area[i]
        self.lengths = [self.shapes.length(band) for band in self.bands]
        self.now = self.least = sum(self.lengths)
        self.history = [self.now] * MEMORY
        self.stale = self.moves = 0

    def move(self) -> None:
        """Move one blank to another band, or swap two, unless that is worse."""
        below = self.draw.below
        i = below(self.n)
        if below(10) < 4:
            self._try(i, -1, below(len(self.bands)))
        else:
            j = below(self.n)
            self._try(i, j, self.where[j])
        self.moves += 1
        self.history[self.moves % MEMORY] = self.now
        self.stale += 1
        if self.now < self.least:
            self.least, self.stale = self.now, 0
            if self.now < self.best:
                self.best, self.best_bands = self.now, self.bands[:]
        if self.stale > STALE:
            self._shake()

    def _try(self, i: int, j: int, to: int) -> None:
        """Blank i into band `to`, and j (unless below 0) back into its place."""
        come_from = self.where[i]
        if come_from == to:
            return
        swap, change = 1 << i, self.area[i]
        if j >= 0:
            swap |= 1 << j
            change -= self.area[j]
        ours, theirs = self.bands[come_from] ^ swap, self.bands[to] ^ swap
        if ours.bit_count() > MOST_IN_BAND or theirs.bit_count() > MOST_IN_BAND:
            return
        now, history = self.now, self.history[(self.moves + 1) % MEMORY]
        room = max(now, history) - now + self.lengths[come_from] + self.lengths[to]
        width, known = self.strip.width, self.shapes.lengths
        area1, area2 = self.areas[come_from] - change, self.areas[to] + change
        # The area tells most bad moves apart before a band is cut.
        length2 = known.get(theirs) or -(-area2 // width)
        if (known.get(ours) or -(-area1 // width)) + length2 > room:
            return
        length1 = self.shapes.length(ours)
        if length1 + length2 > room:
            return
        length2 = self.shapes.length(theirs)
        if length1 + length2 > room:
            return
        self.now += length1 + length2 - self.lengths[come_from] - self.lengths[to]
        self.bands[come_from], self.bands[to] = ours, theirs
        self.areas[come_from], self.areas[to] = area1, area2
        self.lengths[come_from], self.lengths[to] = length1, length2
        self.where[i] = to
        if j >= 0:
            self.where[j] = come_from
        if self.bands[-1]:
            self.bands.append(0)
            self.areas.append(0)
            self.lengths.append(0)

    def _shake(self) -> None:
        """From the best plan on, with a few blanks in other bands."""
        bands = self.best_bands[:]
        for _ in range(SHAKEN):
            bit = 1 << self.draw.below(self.n)
            bands = [band & ~bit for band in bands]
            to = self.draw.below(len(bands))
            if bands[to].bit_count() < MOST_IN_BAND:
                bands[to] |= bit
            else:
                bands.append(bit)
        self._take([band for band in bands if band])

    def layout(self) -> list[tuple[int, int, int, bool]]:
        """The best plan, band after band: (blank, x, y, turned)."""
        placed, y = [], 0
        for band in self.best_bands:
            length = self.shapes.length(band)
            if not band:
                continue
            for i, left, near, w, h in self.shapes.lay(
                band, 0, y, self.strip.width, length
            ):
                placed.append((i, left, near, (w, h) != self.strip.sizes[i]))
            y += length
        return placed
