"""Where the number of each cut stands: on its line, or beside it on a leader (pure)."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from jobs.nesting.pen import RADIUS, SMALL, Box, Pen

STEPS = 24
"""Places tried along a line."""
ASIDE = 2 * RADIUS + 3
"""How far off its line a number stands where there is no room on it."""
ON_TEXT, ON_LINE, OFF_LINE, OFF_MIDDLE, OUTSIDE = 1000.0, 15.0, 9.0, 4.0, 400.0
"""What a place costs: hiding text, crossing another cut, needing a leader."""


class Segment(NamedTuple):
    """A cut as it is drawn in one row; `fixed` ones are numbered where they begin."""

    number: int
    x1: float
    y1: float
    x2: float
    y2: float
    fixed: bool = False

    @property
    def length(self) -> float:
        return (self.x2 - self.x1) + (self.y2 - self.y1)


class Spot(NamedTuple):
    """The middle of a ring, and the point of the cut that it speaks of."""

    x: float
    y: float
    on_x: float
    on_y: float


def draw_cuts(pen: Pen, segments: Sequence[Segment], *, inside: Box) -> None:
    """All lines, then all numbers: what has least choice is placed first."""
    for cut in segments:
        pen.line((cut.x1, cut.y1, cut.x2, cut.y2), "cut", 3)
    for cut in sorted(segments, key=lambda cut: (not cut.fixed, cut.length)):
        spot = _freest(pen, cut, segments, inside)
        _draw_ring(pen, spot, cut.number)


def _freest(pen: Pen, cut: Segment, segments: Sequence[Segment], inside: Box) -> Spot:
    """The cheapest place, judged by what lies near this cut."""
    reach = ASIDE + 2 * RADIUS
    near = (cut.x1 - reach, cut.y1 - reach, cut.x2 + reach, cut.y2 + reach)
    busy = [box for box in pen.busy if _overlap(box, near)]
    others = [o for o in segments if o.number != cut.number and _crosses(o, near)]
    return min(
        _spots(cut), key=lambda spot: _cost(cut, spot, busy, others, inside=inside)
    )


def _spots(cut: Segment) -> list[Spot]:
    if cut.fixed:
        return [Spot(cut.x1, cut.y1 + RADIUS, cut.x1, cut.y1 + RADIUS)]
    along = cut.y1 == cut.y2
    found = []
    for step in range(1, STEPS):
        part = step / STEPS
        x = cut.x1 + (cut.x2 - cut.x1) * part
        y = cut.y1 + (cut.y2 - cut.y1) * part
        for aside in (0.0, ASIDE, -ASIDE):
            dx, dy = (0.0, aside) if along else (aside, 0.0)
            found.append(Spot(x + dx, y + dy, x, y))
    return found


def _cost(
    cut: Segment,
    spot: Spot,
    busy: Sequence[Box],
    others: Sequence[Segment],
    *,
    inside: Box,
) -> float:
    reach = RADIUS + 1
    box = (spot.x - reach, spot.y - reach, spot.x + reach, spot.y + reach)
    cost = ON_TEXT * sum(_overlap(box, text) for text in busy) / (4 * reach**2)
    cost += ON_LINE * sum(_crosses(other, box) for other in others)
    if (spot.x, spot.y) != (spot.on_x, spot.on_y):
        cost += OFF_LINE
    if not cut.fixed and _overlap(box, inside) < 4 * reach**2 - 0.01:
        cost += OUTSIDE
    gone = (spot.on_x - cut.x1) + (spot.on_y - cut.y1)
    return cost + OFF_MIDDLE * abs(gone / cut.length - 0.5)


def _overlap(one: Box, other: Box) -> float:
    wide = min(one[2], other[2]) - max(one[0], other[0])
    tall = min(one[3], other[3]) - max(one[1], other[1])
    return wide * tall if wide > 0 and tall > 0 else 0.0


def _crosses(line: Segment, box: Box) -> bool:
    return (
        line.x1 < box[2] and box[0] < line.x2 + 0.01
        and line.y1 < box[3] and box[1] < line.y2 + 0.01
    )  # fmt: skip


def _draw_ring(pen: Pen, spot: Spot, number: int) -> None:
    if (spot.x, spot.y) != (spot.on_x, spot.on_y):
        pen.line((spot.on_x, spot.on_y, spot.x, spot.y), "cut", 1.2)
        pen.parts.append(
            f'<circle class="cutlist-dot" cx="{spot.on_x:.1f}" cy="{spot.on_y:.1f}" '
            'r="3" fill="currentColor"/>'
        )
    pen.parts.append(
        f'<circle class="cutlist-cut" cx="{spot.x:.1f}" cy="{spot.y:.1f}" '
        f'r="{RADIUS:g}" fill="#fff" stroke="currentColor" stroke-width="2"/>'
    )
    pen.text(spot.x, spot.y, str(number), size=SMALL - (2 if number < 100 else 5))
    pen.busy.append(
        (spot.x - RADIUS, spot.y - RADIUS, spot.x + RADIUS, spot.y + RADIUS)
    )
