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
    """Try each pair of levels; between them the widest free run counts."""
    x1, y1, x2, y2 = sheet
    levels = {y1, y2} | {y for box in taken for y in (box[1], box[3]) if y1 < y < y2}
    ordered = sorted(levels)
    best: Box | None = None
    best_area = 0
    for low in ordered:
        for high in ordered:
            if high - low < least[1] or (high - low) * (x2 - x1) <= best_area:
                continue
            busy = sorted((b[0], b[2]) for b in taken if b[1] < high and low < b[3])
            at = x1
            for left, right in [*busy, (x2, x2)]:
                width = min(left, x2) - at
                if width >= least[0] and width * (high - low) > best_area:
                    best = (at, low, at + width, high)
                    best_area = width * (high - low)
                at = max(at, right)
    return best
