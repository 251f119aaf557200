"""Proven lower bounds on the length of a strip (pure)."""

from __future__ import annotations

from collections.abc import Sequence

Size = tuple[int, int]

MAX_EDGES = 32
"""Dual feasible functions tried: enough for a quick bound in milliseconds."""


def lies(size: Size, *, may_turn: bool, width_mm: int) -> list[Size]:
    """The ways (width, length) that a blank can lie on a strip of this width."""
    ways = [size, (size[1], size[0])] if may_turn and size[0] != size[1] else [size]
    return [way for way in ways if way[0] <= width_mm]


def quick_bound_mm(
    *, sizes: Sequence[Size], may_turn: Sequence[bool], width_mm: int
) -> int:
    """Length that no plan on one strip can go below, without an engine.

        max(ceil(sum(w * l) / W), tallest blank, ceil(sum(f(w) * l) / f(W)))

    sizes     (width, length) of each blank, gap included, mm; each fits the strip
    may_turn  whether each blank may lie turned
    width_mm  usable width plus one gap, mm
    f         dual feasible: widths above W - e count W, below e count nothing
    Not for:  a job that may also use off-cuts.
    Source:   area and size of the job; dual feasible functions after Fekete and
              Schepers 2001, Math. Programming 91:11-31 (cited from memory).

    >>> quick_bound_mm(sizes=[(60, 50), (60, 70)], may_turn=[0, 0], width_mm=100)
    120
    """
    ways = [
        lies(size, may_turn=turn, width_mm=width_mm)
        for size, turn in zip(sizes, may_turn, strict=True)
    ]
    bound = max((min(h for _, h in some) for some in ways), default=0)
    bound = max(bound, -(-sum(w * h for w, h in sizes) // width_mm))
    edges = {w for some in ways for w, _ in some if 2 * w <= width_mm}
    edges |= {width_mm - w + 1 for some in ways for w, _ in some if 2 * w > width_mm}
    some_edges = sorted(edge for edge in edges if 0 < 2 * edge <= width_mm + 1)
    for edge in some_edges[:: 1 + len(some_edges) // MAX_EDGES]:
        total = sum(
            min(
                (width_mm if w > width_mm - edge else w if w >= edge else 0) * h
                for w, h in some
            )
            for some in ways
        )
        bound = max(bound, -(-total // width_mm))
    return next_length_mm(bound, sizes=sizes, may_turn=may_turn)


def next_length_mm(
    bound_mm: int, *, sizes: Sequence[Size], may_turn: Sequence[bool]
) -> int:
    """A bound rounded up to the next length that blanks end to end can make.

    >>> next_length_mm(345, sizes=[(1, 100), (1, 125), (1, 150)], may_turn=[0, 0, 0])
    375
    """
    limit = bound_mm + max((max(size) for size in sizes), default=0)
    bits = reachable_mm(sizes=sizes, may_turn=may_turn, limit_mm=limit) >> bound_mm
    return bound_mm + (bits & -bits).bit_length() - 1 if bits else bound_mm


def reachable_mm(
    *, sizes: Sequence[Size], may_turn: Sequence[bool], limit_mm: int
) -> int:
    """Lengths up to a limit that blanks set end to end can make, as bits.

    Pushed towards the fresh end, every plan has such a length.

    >>> bin(reachable_mm(sizes=[(1, 3), (1, 4)], may_turn=[0, 0], limit_mm=9))
    '0b10011001'
    """
    bits, mask = 1, (1 << (limit_mm + 1)) - 1
    for (w, h), turn in zip(sizes, may_turn, strict=True):
        bits |= (bits << h) | (bits << w if turn else 0)
        bits &= mask
    return bits
