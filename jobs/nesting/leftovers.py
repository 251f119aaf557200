"""Free rectangles worth keeping after a cut (pure)."""

from __future__ import annotations

from collections.abc import Sequence

Box = tuple[int, int, int, int]
"""x1, y1, x2, y2."""


def free_rectangles(
    boxes: Sequence[Box], *, sheet: Box, least: tuple[int, int], gap: int = 0
) -> list[Box]:
    """Largest free rectangle, then the largest in what is left, and so on.

    boxes  blanks on the sheet, mm
    least  (width, length) that is worth keeping, mm
    gap    kept clear around each blank, mm
    """
    taken = [(x1 - gap, y1 - gap, x2 + gap, y2 + gap) for x1, y1, x2, y2 in boxes]
    found: list[Box] = []
    while True:
        best = _largest(taken, sheet=sheet, least=least)
        if best is None:
            return found
        found.append(best)
        taken.append(best)


def _largest(taken: Sequence[Box], *, sheet: Box, least: tuple[int, int]) -> Box | None:
    """Try each pair of lengths; between them the widest free run counts."""
    x1, y1, x2, y2 = sheet
    # The largest one begins where a blank ends and ends where a blank begins.
    lows = sorted({y1} | {box[3] for box in taken if y1 < box[3] < y2})
    highs = sorted({y2} | {box[1] for box in taken if y1 < box[1] < y2}, reverse=True)
    by_left = sorted(taken)
    best: Box | None = None
    best_area = 0
    for low in lows:
        above = [box for box in by_left if box[3] > low]
        for high in highs:
            height = high - low
            if height < least[1] or height * (x2 - x1) <= best_area:
                break
            at = x1
            for left, _, right, _ in (
                *(b for b in above if b[1] < high),
                (x2, y1, x2, y2),
            ):
                width = min(left, x2) - at
                if width >= least[0] and width * height > best_area:
                    best = (at, low, at + width, high)
                    best_area = width * height
                at = max(at, right)
    return best
