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


def cut_lines(
    boxes: Sequence[Box], *, sheet: Box, gap: int, axis: int = 1
) -> list[Line]:
    """Cuts in knife order: across the sheet first, then each part on its own.

    A cut runs along the far edge of the blanks before it. What is left around a
    single blank is trimmed if it is wider than the gap.
    """
    parts = groups_along(boxes, axis=axis)
    if len(parts) == 1 and len(boxes) > 1:
        axis = 1 - axis
        parts = groups_along(boxes, axis=axis)
        if len(parts) == 1:
            raise ValueError("These blanks cannot be parted by cuts side to side.")
    lines: list[Line] = []
    pieces: list[tuple[list[Box], Box]] = []
    start = sheet[axis]
    for part in parts:
        near = min(box[axis] for box in part)
        far = max(box[axis + 2] for box in part)
        if near - start > gap:
            lines.append(_line(sheet, axis=axis, at=near))
            start = near
        if part is not parts[-1] or sheet[axis + 2] - far > gap:
            lines.append(_line(sheet, axis=axis, at=far))
            pieces.append((part, _part_of(sheet, axis=axis, start=start, end=far)))
            start = far
        else:
            end = sheet[axis + 2]
            pieces.append((part, _part_of(sheet, axis=axis, start=start, end=end)))
    for part, piece in pieces:
        if len(part) > 1 or piece != sheet or _trims(part[0], piece, gap, 1 - axis):
            if len(part) == 1 and not _trims(part[0], piece, gap, 1 - axis):
                continue
            lines += cut_lines(part, sheet=piece, gap=gap, axis=1 - axis)
    return lines


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
    boxes_by_source: Sequence[tuple[str, Sequence[Box], Box]], *, gap_mm: int
) -> tuple[Cut, ...]:
    """Numbered cuts, source by source; the pull's own cross cut is number one.

    boxes_by_source  (source id, blanks as boxes, the sheet as a box), mm
    """
    cuts: list[Cut] = []
    for source_id, boxes, sheet in boxes_by_source:
        for way, x1, y1, x2, y2 in cut_lines(boxes, sheet=sheet, gap=gap_mm):
            cuts.append(Cut(len(cuts) + 1, source_id, way, x1, y1, x2, y2))
    return tuple(cuts)
