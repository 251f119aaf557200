"""Breaking a long pull into rows that can be read (pure)."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

MAX_ASPECT = 3.4
"""A row longer than this many widths is too flat to read."""


class Row(NamedTuple):
    """The part of the pull from `start` to `end`, mm from the fresh end."""

    start: int
    end: int


def split_rows(
    *,
    width: int,
    length: int,
    spans: Sequence[tuple[int, int]],
    cuts: Sequence[int] = (),
) -> list[Row]:
    """Rows of about equal length, broken where the fewest blanks are crossed.

    width, length  of the sheet, mm
    spans          (near, far) end of each blank, mm
    cuts           right across the sheet, mm: a row ends at one if it can

    >>> split_rows(width=10, length=68, spans=[(0, 30), (30, 45), (45, 68)])
    [Row(start=0, end=30), Row(start=30, end=68)]
    """
    count = -(-length // int(width * MAX_ASPECT))
    rows: list[Row] = []
    start = 0
    edges = sorted({end for span in spans for end in span})
    for at in range(1, count):
        want = length * at // count
        slack = length // count // 4
        near = [e for e in cuts if abs(e - want) <= slack * 1.6 and e > start]
        places = near or [e for e in edges if abs(e - want) <= slack and e > start]
        best = min(
            places or [want],
            key=lambda e: (sum(a < e < b for a, b in spans), abs(e - want), e),
        )
        rows.append(Row(start, best))
        start = best
    return [*rows, Row(start, length)]
