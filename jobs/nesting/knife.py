"""Knife cuts: can a plan be cut side to side, and in which order (pure)."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from jobs.nesting.problem import Cut

Box = tuple[int, int, int, int]
"""x1, y1, x2, y2."""

Line = tuple[Literal["across", "along"], int, int, int, int]


def groups_along(boxes: Sequence[Box], *, axis: int) -> list[list[Box]]:
    """Boxes parted at every line square to `axis` (0: x, 1: y) that crosses none."""
    parts: list[list[Box]] = []
    reach = 0
    for box in sorted(boxes, key=lambda box: (box[axis], box)):
        if not parts or box[axis] >= reach:
            parts.append([box])
            reach = box[axis + 2]
        else:
            parts[-1].append(box)
            reach = max(reach, box[axis + 2])
    return parts


def is_guillotine(boxes: Sequence[Box]) -> bool:
    """Whether cuts from side to side alone part all boxes.

    >>> is_guillotine([(0, 0, 2, 1), (2, 0, 3, 2), (1, 2, 3, 3), (0, 1, 1, 3)])
    False
    """
    if len(boxes) < 2:
        return True
    for axis in (1, 0):
        parts = groups_along(boxes, axis=axis)
        if len(parts) > 1:
            return all(is_guillotine(part) for part in parts)
    return False


def dissect(
    boxes: Sequence[Box], *, sheet: Box, gap: int, axis: int = 1
) -> tuple[list[Line], list[Box]]:
    """Cuts in knife order, and the rectangles that they leave over.

    Across the sheet first, then each part on its own. A cut runs along the far edge
    of the blanks before it; what is left around blanks is cut off if it is wider
    than the gap. Raises ValueError if cuts from side to side cannot part the blanks.
    """
    parts = groups_along(boxes, axis=axis)
    if len(parts) == 1 < len(boxes) and len(groups_along(boxes, axis=1 - axis)) == 1:
        raise ValueError("These blanks cannot be parted by cuts from side to side.")
    lines: list[Line] = []
    spare: list[Box] = []
    pieces: list[tuple[list[Box], Box]] = []
    start, end = sheet[axis], sheet[axis + 2]
    for part in parts:
        near = min(box[axis] for box in part)
        far = max(box[axis + 2] for box in part)
        if near - start > gap:
            lines.append(_line(sheet, axis=axis, at=near))
            spare.append(_part_of(sheet, axis=axis, start=start, end=near))
            start = near
        stop = end if part is parts[-1] and end - far <= gap else far
        if stop < end:
            lines.append(_line(sheet, axis=axis, at=stop))
        pieces.append((part, _part_of(sheet, axis=axis, start=start, end=stop)))
        start = stop
    if end - start > gap:
        spare.append(_part_of(sheet, axis=axis, start=start, end=end))
    for part, piece in pieces:
        if len(part) > 1 or _trims(part[0], piece, gap, 1 - axis):
            more = dissect(part, sheet=piece, gap=gap, axis=1 - axis)
            lines += more[0]
            spare += more[1]
    return lines, spare


def _trims(box: Box, piece: Box, gap: int, axis: int) -> bool:
    return box[axis] - piece[axis] > gap or piece[axis + 2] - box[axis + 2] > gap


def _line(sheet: Box, *, axis: int, at: int) -> Line:
    if axis == 1:
        return ("across", sheet[0], at, sheet[2], at)
    return ("along", at, sheet[1], at, sheet[3])


def _part_of(sheet: Box, *, axis: int, start: int, end: int) -> Box:
    if axis == 1:
        return (sheet[0], start, sheet[2], end)
    return (start, sheet[1], end, sheet[3])


def cut_list(
    sheets: Sequence[tuple[str, Sequence[Box], Box]], *, gap_mm: int
) -> tuple[tuple[Cut, ...], tuple[tuple[str, Box], ...]]:
    """Numbered cuts, sheet by sheet, and the rectangles left over on each.

    sheets  (source id, blanks as boxes, the sheet as a box), mm
    """
    cuts: list[Cut] = []
    spare: list[tuple[str, Box]] = []
    for source_id, boxes, sheet in sheets:
        lines, left = dissect(boxes, sheet=sheet, gap=gap_mm)
        for way, x1, y1, x2, y2 in lines:
            cuts.append(Cut(len(cuts) + 1, source_id, way, x1, y1, x2, y2))
        spare += [(source_id, box) for box in left]
    return tuple(cuts), tuple(spare)
