"""Vapour over a job as a small plot: SVG for screen and paper (pure).

Words, dashes and shape carry it; the colours are only a help and may print grey.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from html import escape

HEADROOM = 1.15
SIGN_WIDTH = 0.62
"""Of a digit in units of the type, with some air."""
MOST_TICKS = 5


@dataclass(frozen=True, kw_only=True)
class PlotSize:
    """Width and height of the drawing and of its type, all in one unit."""

    width: float
    height: float
    type: float


PAPER_PLOT = PlotSize(width=250, height=62, type=9)
"""In points, as it stands on paper."""
SCREEN_PLOT = PlotSize(width=340, height=180, type=13)
"""In pixels of a phone; a wider screen draws it larger."""


def vapour_plot_svg(
    points: Sequence[tuple[float, float]],
    *,
    limit_ppm: float | None,
    session_min: float | None,
    title: str,
    limit_label: str,
    end_label: str,
    size: PlotSize = SCREEN_PLOT,
) -> str:
    """The average vapour of the bay, minute by minute, against the shop's limit.

    points       minute and ppm, in order of time, at least two
    limit_ppm    drawn as a line where there is one
    session_min  the end of the job is marked where it is known
    limit_label  stands at the limit's line, before its number
    end_label    stands at the end of the job
    size         of the drawing
    Raises ValueError for fewer than two points.
    """
    if len(points) < 2:
        raise ValueError("a plot needs two points or more")
    last = max(points[-1][0], session_min or 0.0)
    peak = max(points, key=lambda point: point[1])
    frame = _Frame(
        size=size, last=last, top=HEADROOM * max(peak[1], limit_ppm or 0.0, 1.0)
    )
    parts = [frame.curve(points), frame.axes()]
    if session_min:
        parts.append(frame.end(session_min, end_label))
    if limit_ppm:
        parts.append(frame.limit(limit_ppm, f"{limit_label} {limit_ppm:.0f} ppm"))
    parts.append(frame.peak(peak, limit_ppm=limit_ppm))
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="plot" role="img" '
        f'aria-label="{escape(title)}" viewBox="0 0 {size.width:g} {size.height:g}" '
        f'font-size="{size.type:g}" font-family="sans-serif">{"".join(parts)}</svg>'
    )


@dataclass(frozen=True, kw_only=True)
class _Frame:
    """Where a minute and a ppm stand on the drawing."""

    size: PlotSize
    last: float
    top: float

    @property
    def left(self) -> float:
        return 2.9 * self.size.type

    @property
    def right(self) -> float:
        return self.size.width - 0.5 * self.size.type

    @property
    def head(self) -> float:
        return 1.5 * self.size.type

    @property
    def foot(self) -> float:
        return self.size.height - 1.5 * self.size.type

    def x(self, minute: float) -> float:
        return self.left + (self.right - self.left) * minute / self.last

    def y(self, ppm: float) -> float:
        return self.foot - (self.foot - self.head) * ppm / self.top

    def curve(self, points: Sequence[tuple[float, float]]) -> str:
        line = " ".join(f"{self.x(at):.1f},{self.y(ppm):.1f}" for at, ppm in points)
        begin, end = self.x(points[0][0]), self.x(points[-1][0])
        area = f"{begin:.1f},{self.foot:.1f} {line} {end:.1f},{self.foot:.1f}"
        return (
            f'<polygon points="{area}" fill="#c3dadd"/>'
            f'<polyline points="{line}" fill="none" stroke="#1c161b" '
            f'stroke-width="{self.size.type / 6:.1f}"/>'
        )

    def axes(self) -> str:
        lines = (
            f'<path d="M{self.left:.1f} {self.head:.1f} V{self.foot:.1f} '
            f'H{self.right:.1f}" fill="none" stroke="#68757d" stroke-width="0.8"/>'
        )
        below = self.size.height - 0.4 * self.size.type
        first, *rest = _ticks(self.last)
        told = [self.label(self.x(first), below, "0 min")]
        told += [self.label(self.x(minute), below, f"{minute:.0f}") for minute in rest]
        unit = self.text(self.left - 3, 0.9 * self.size.type, "ppm", "end")
        nought = self.text(self.left - 3, self.foot, "0", "end")
        return "".join([lines, unit, nought, *told])

    def end(self, minute: float, label: str) -> str:
        at = self.x(minute)
        return (
            f'<path d="M{at:.1f} {self.head:.1f} V{self.foot:.1f}" stroke="#68757d" '
            f'stroke-width="0.8" stroke-dasharray="2 2"/>'
            + self.text(self.right, 0.9 * self.size.type, label, "end")
        )

    def limit(self, ppm: float, label: str) -> str:
        level = self.y(ppm)
        return (
            f'<path d="M{self.left:.1f} {level:.1f} H{self.right:.1f}" '
            f'stroke="#a52a12" stroke-width="1.2" stroke-dasharray="5 3"/>'
            # At the right: the peak of a wipe stands at the left.
            + self.text(self.right, self._beside(level), label, "end")
        )

    def peak(self, peak: tuple[float, float], *, limit_ppm: float | None) -> str:
        minute, ppm = peak
        over = self.y(ppm) - 0.35 * self.size.type
        taken = limit_ppm is not None and (
            abs(over - self.y(limit_ppm)) < 0.6 * self.size.type
        )
        if taken:
            # Not through the line of the limit.
            over = self.y(limit_ppm or 0.0) - 0.35 * self.size.type
        dot = (
            f'<circle cx="{self.x(minute):.1f}" cy="{self.y(ppm):.1f}" '
            f'r="{self.size.type / 5:.1f}" fill="#1c161b"/>'
        )
        return dot + self.label(self.x(minute), over, f"{ppm:.0f} ppm")

    def _beside(self, level: float) -> float:
        """Under a line, or over it where the axis is too near."""
        under = level + 1.05 * self.size.type
        if under <= self.foot - 0.3 * self.size.type:
            return under
        return level - 0.35 * self.size.type

    def label(self, x: float, y: float, text: str) -> str:
        """A label over or under its point, kept whole at the edges of the plot."""
        half = SIGN_WIDTH * self.size.type * len(text) / 2
        return self.text(min(max(x, half), self.size.width - half), y, text, "middle")

    def text(self, x: float, y: float, text: str, anchor: str = "start") -> str:
        return (
            f'<text x="{x:.1f}" y="{y:.1f}" text-anchor="{anchor}" '
            f'fill="#1c161b">{escape(text)}</text>'
        )


def _ticks(last: float) -> list[float]:
    """A few round minutes along the axis."""
    steps = (15, 30, 60, 120, 240, 480)
    step = next((step for step in steps if last / step <= MOST_TICKS), 480)
    return [float(minute) for minute in range(0, int(last) + 1, step)]
