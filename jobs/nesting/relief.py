"""How much of a roll the off-cuts on the shelf can save at most (pure).

A bound gives every blank a worth: however the blanks lie, the roll is at least as long
as the worths of those on it together. What off-cuts can save is then the worth of the
blanks that they could take.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations

from jobs.nesting.bounds import Size, lies


def most_saved(
    *,
    worths: Sequence[float],
    sizes: Sequence[Size],
    may_turn: Sequence[bool],
    width_mm: int,
    length_mm: int,
) -> float:
    """Worth of the blanks that one off-cut can take at most.

        max sum of worth with sum of area <= area of the off-cut, parts allowed

    worths     of each blank
    sizes      (width, length) of each blank, gap included, mm
    may_turn   whether each blank may lie turned on this off-cut
    width_mm   of the off-cut, plus one gap
    length_mm  of the off-cut, plus one gap
    Where no two of the blanks lie on it together, the worth of one.
    Not for:   the most that an off-cut really takes; that may be less.
    Source:    linear relaxation of the knapsack problem (Dantzig 1957, Operations
               Research 5:266-288, from memory).

    >>> most_saved(worths=[3.0, 2.0], sizes=[(6, 5), (4, 5)], may_turn=[0, 0],
    ...            width_mm=8, length_mm=5)
    3.0
    """
    ways = [
        [
            way
            for way in lies(size, may_turn=turn, width_mm=width_mm)
            if way[1] <= length_mm
        ]
        for size, turn in zip(sizes, may_turn, strict=True)
    ]
    able = [i for i, some in enumerate(ways) if some]
    if not any(
        _together(ways[i], ways[j], width_mm, length_mm)
        for i, j in combinations(able, 2)
    ):
        return max((worths[i] for i in able), default=0.0)
    room, saved = float(width_mm * length_mm), 0.0
    areas = {i: sizes[i][0] * sizes[i][1] for i in able}
    for i in sorted(able, key=lambda i: -worths[i] / areas[i]):
        part = min(1.0, room / areas[i])
        saved += part * worths[i]
        room -= part * areas[i]
    return saved


def _together(
    one: Sequence[Size], other: Sequence[Size], width_mm: int, length_mm: int
) -> bool:
    return any(
        (w1 + w2 <= width_mm and max(h1, h2) <= length_mm)
        or (max(w1, w2) <= width_mm and h1 + h2 <= length_mm)
        for w1, h1 in one
        for w2, h2 in other
    )
