"""Vapour over a job as a small plot: SVG for screen and paper (pure)."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape

WIDTH, HEIGHT = 300.0, 76.0
LEFT, RIGHT, TOP, BOTTOM = 30.0, 294.0, 9.0, 61.0
HEADROOM = 1.12
SIGN_WIDTH = 4.9
"""Of a digit at 8 units of type, with some air."""


def vapour_plot_svg(
    points: Sequence[tuple[float, float]],
    *,
    limit_ppm: float | None,
    session_min: float | None,
    title: str,
    limit_label: str,
) -> str:
    """The average vapour of the bay, minute by minute, against the shop's limit.

    points       minute and ppm, in order of time, at least two
    limit_ppm    drawn as a line where there is one
    session_min  the end of the job is marked where it is known
    Raises ValueError for fewer than two points.
    """
    if len(points) < 2:
        raise ValueError("a plot needs two points or more")
    last = max(points[-1][0], session_min or 0.0)
    top = HEADROOM * max([ppm for _, ppm in points] + [limit_ppm or 0.0, 1.0])

    def x(minute: float) -> float:
        return LEFT + (RIGHT - LEFT) * minute / last

    def y(ppm: float) -> float:
        return BOTTOM - (BOTTOM - TOP) * ppm / top

    line = " ".join(f"{x(minute):.1f},{y(ppm):.1f}" for minute, ppm in points)
    area = f"{x(points[0][0]):.1f},{BOTTOM} {line} {x(points[-1][0]):.1f},{BOTTOM}"
    parts = [
        f'<polygon points="{area}" fill="#c3dadd"/>',
        f'<polyline points="{line}" fill="none" stroke="#1c161b" stroke-width="1.4"/>',
        _axes(),
        _text(LEFT - 3, BOTTOM + 1, "0", "end"),
    ]
    peak = max(points, key=lambda point: point[1])
    parts.append(_label(x(peak[0]), y(peak[1]) - 3, f"{peak[1]:.0f} ppm"))
    if limit_ppm:
        parts.append(_limit(y(limit_ppm), f"{limit_ppm:.0f}", limit_label))
    for minute in _ticks(last):
        parts.append(_label(x(minute), BOTTOM + 11, f"{minute:.0f} min"))
    if session_min:
        end = x(session_min)
        parts.append(
            f'<path d="M{end:.1f} {TOP} V{BOTTOM}" stroke="#68757d" '
            f'stroke-width="0.8" stroke-dasharray="2 2"/>'
        )
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="plot" role="img" '
        f'aria-label="{escape(title)}" viewBox="0 0 {WIDTH:g} {HEIGHT:g}" '
        f'font-size="8" font-family="sans-serif">{"".join(parts)}</svg>'
    )


def _limit(level: float, number: str, label: str) -> str:
    return (
        f'<path d="M{LEFT} {level:.1f} H{RIGHT}" stroke="#a52a12" '
        f'stroke-width="1.2" stroke-dasharray="5 3"/>'
        + _text(RIGHT, level - 3, label, "end")
        + _text(LEFT - 3, level + 3, number, "end")
    )


def _axes() -> str:
    return (
        f'<path d="M{LEFT} {TOP} V{BOTTOM} H{RIGHT}" fill="none" stroke="#68757d" '
        f'stroke-width="0.8"/>'
    )


def _ticks(last: float) -> list[float]:
    """About four round minutes along the axis."""
    steps = (15, 30, 60, 120, 240, 480)
    step = next((step for step in steps if last / step <= 6), 480)
    return [float(minute) for minute in range(0, int(last) + 1, step)]


def _label(x: float, y: float, text: str) -> str:
    """A label under or over its point, kept whole at the edges of the plot."""
    half = SIGN_WIDTH * len(text) / 2
    return _text(min(max(x, half), WIDTH - half), y, text, "middle")


def _text(x: float, y: float, text: str, anchor: str) -> str:
    return (
        f'<text x="{x:.1f}" y="{y:.1f}" text-anchor="{anchor}" '
        f'fill="#1c161b">{escape(text)}</text>'
    )
