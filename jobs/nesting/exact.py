"""The shortest knife plan of a few blanks, by trying every way to part them (pure).

Whatever a knife can part from side to side falls into two parts, each of which a knife
can part again. So the shapes that a set of blanks can be cut from follow from those of
its subsets. Equal blanks count as one kind, which halves the work with every pair.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace
from itertools import product
from math import prod

from jobs.nesting.search import Packing, Strip

Counts = tuple[int, ...]
"""How many of each kind of blank."""
Shapes = tuple[tuple[int, int], ...]
"""(width, length), from narrow and long to wide and short."""
GLANCE = 64
"""Sets between two looks at the clock."""
QUICK_SPLITS, MOST_SPLITS = 3_500, 150_000
"""Work up to which this is tried, in a quick plan and in a searched one: about 8 and
11 blanks of which no two are equal; some 50 ms and 2 s."""


def splits(strip: Strip) -> int:
    """How many ways there are to part all sets of these blanks: the work."""
    counts = [len(some) for some in _kinds(strip).values()]
    return prod((count + 1) * (count + 2) // 2 for count in counts) // 2


def shortest_by_knife(strip: Strip, found: Packing, *, deadline: float) -> Packing:
    """The shortest plan that a knife can part, if the clock allows.

    Only plans shorter than the one found are looked for; without any, that one is the
    shortest. When the clock runs out, nothing is certain and nothing changes.
    """
    sets = _Sets(strip, limit=found.top - 1)
    if not sets.fill(deadline=deadline):
        return found
    shapes = sets.known[sets.all]
    if not shapes:
        return replace(found, knife_best=True)
    width, top = shapes[-1]
    left = [list(some) for some in sets.kinds.values()]
    placed = tuple(
        (left[kind].pop(), x, y, (w, h))
        for kind, x, y, w, h in sets.lay(sets.all, 0, 0, width, top)
    )
    layout = tuple((i, x, y, size != strip.sizes[i]) for i, x, y, size in placed)
    return replace(found, placed=layout, top=top, knife_best=True)


Kind = tuple[tuple[int, int], bool]


def _kinds(strip: Strip) -> dict[Kind, list[int]]:
    """Blanks by size and whether they may turn."""
    kinds: dict[Kind, list[int]] = {}
    for i, (size, turn) in enumerate(zip(strip.sizes, strip.may_turn, strict=True)):
        key = (min(size, size[::-1]) if turn else size, turn)
        kinds.setdefault(key, []).append(i)
    return kinds


@dataclass
class _Sets:
    """What is known of every set of the blanks."""

    strip: Strip
    limit: int
    kinds: dict[Kind, list[int]] = field(init=False)
    known: dict[Counts, Shapes] = field(init=False, default_factory=dict)

    def __post_init__(self) -> None:
        self.kinds = _kinds(self.strip)
        self.all = tuple(len(some) for some in self.kinds.values())

    def fill(self, *, deadline: float) -> bool:
        """Shapes of all sets, small ones first; False if the clock ran out."""
        sets = sorted(product(*(range(count + 1) for count in self.all)), key=sum)
        for at, counts in enumerate(sets[1:]):
            if at % GLANCE == 0 and time.monotonic() > deadline:
                return False
            self.known[counts] = self._shapes(counts)
        return True

    def _shapes(self, counts: Counts) -> Shapes:
        least: dict[int, int] = {}
        if sum(counts) == 1:
            (w, h), turn = list(self.kinds)[counts.index(1)]
            for wide, long in {(w, h), (h, w)} if turn else {(w, h)}:
                _keep(least, wide, long)
        for one, other in self._parted(counts):
            _beside(least, one, other)
            _behind(least, one, other)
        return _best(least, width=self.strip.width, limit=self.limit)

    def _parted(self, counts: Counts) -> Iterator[tuple[Shapes, Shapes]]:
        for part, rest in _parts(counts):
            one, other = self.known[part], self.known[rest]
            if one and other:
                yield one, other

    def lay(
        self, counts: Counts, x: int, y: int, width: int, length: int
    ) -> list[tuple[int, int, int, int, int]]:
        """(kind, x, y, width, length) of each blank of a set in a rectangle."""
        if sum(counts) == 1:
            w, h = _inside(self.known[counts], width, length)
            return [(counts.index(1), x, y, w, h)]
        for part, rest in _parts(counts):
            for w1, h1 in self.known[part]:
                for w2, h2 in self.known[rest]:
                    one, dx, dy = self.lay, 0, 0
                    if w1 + w2 <= width and max(h1, h2) <= length:
                        dx = w1
                    elif max(w1, w2) <= width and h1 + h2 <= length:
                        dy = h1
                    else:
                        continue
                    return [
                        *one(part, x, y, w1, h1),
                        *one(rest, x + dx, y + dy, w2, h2),
                    ]
        raise AssertionError("a known shape holds its set")


def _parts(counts: Counts) -> Iterator[tuple[Counts, Counts]]:
    """Every way to part a set in two, each once."""
    for part in product(*(range(count + 1) for count in counts)):
        rest = tuple(a - b for a, b in zip(counts, part, strict=True))
        if any(part) and part <= rest:
            yield part, rest


def _inside(shapes: Shapes, width: int, length: int) -> tuple[int, int]:
    return next(s for s in shapes if s[0] <= width and s[1] <= length)


def _keep(least: dict[int, int], width: int, length: int) -> None:
    if length < least.get(width, length + 1):
        least[width] = length


def _beside(least: dict[int, int], one: Shapes, other: Shapes) -> None:
    """Side by side: begin narrow, then widen whichever is longer."""
    for a, b in _walk(one, other, ahead=lambda a, b: a[1] - b[1]):
        _keep(least, a[0] + b[0], max(a[1], b[1]))


def _behind(least: dict[int, int], one: Shapes, other: Shapes) -> None:
    """One behind the other: begin short, then lengthen whichever is wider."""
    for a, b in _walk(one[::-1], other[::-1], ahead=lambda a, b: a[0] - b[0]):
        _keep(least, max(a[0], b[0]), a[1] + b[1])


Ahead = Callable[[tuple[int, int], tuple[int, int]], int]


def _walk(
    one: Shapes, other: Shapes, *, ahead: Ahead
) -> Iterator[tuple[tuple[int, int], tuple[int, int]]]:
    """The pairs of which none is beaten by another pair."""
    i = j = 0
    while i < len(one) and j < len(other):
        yield one[i], other[j]
        far = ahead(one[i], other[j])
        i, j = i + (far >= 0), j + (far <= 0)


def _best(least: dict[int, int], *, width: int, limit: int) -> Shapes:
    """Shapes inside the limits that no other beats, narrow ones first."""
    kept: list[tuple[int, int]] = []
    for w in sorted(least):
        if w <= width and least[w] <= limit and (not kept or least[w] < kept[-1][1]):
            kept.append((w, least[w]))
    return tuple(kept)
