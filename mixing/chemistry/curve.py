"""Curves through measured points (pure)."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence


class MonotoneCurve:
    """A smooth curve through points that never overshoots between two of them.

    Piecewise cubic Hermite with the slopes of F. N. Fritsch and J. Butland, SIAM J.
    Sci. Stat. Comput. 5 (1984) 300, known as PCHIP: between two points the curve
    stays between their heights.

    >>> MonotoneCurve(x=(0, 1, 2), y=(0, 1, 4))(1.5)
    2.1875
    """

    def __init__(self, *, x: Sequence[float], y: Sequence[float]) -> None:
        if len(x) < 3 or len(x) != len(y):
            raise ValueError("a curve needs at least three points")
        if any(right <= left for left, right in zip(x, x[1:], strict=False)):
            raise ValueError("the points of a curve must run from left to right")
        self._x, self._y = tuple(x), tuple(y)
        self._slope = _slopes(self._x, self._y)

    def __call__(self, at: float) -> float:
        """The height at `at`; outside the points, that of the nearest one."""
        x, y, slope = self._x, self._y, self._slope
        if at <= x[0]:
            return y[0]
        if at >= x[-1]:
            return y[-1]
        i = bisect_right(x, at) - 1
        width = x[i + 1] - x[i]
        t = (at - x[i]) / width
        rise = y[i + 1] - y[i]
        return (
            y[i]
            + rise * t * t * (3 - 2 * t)
            + width * t * (1 - t) * (slope[i] * (1 - t) - slope[i + 1] * t)
        )


def straight_lines(at: float, *, x: Sequence[float], y: Sequence[float]) -> float:
    """The height of straight lines through points; flat beyond the first and last.

    >>> straight_lines(26, x=(24, 28), y=(2.0, 2.5))
    2.25
    """
    if at <= x[0]:
        return y[0]
    if at >= x[-1]:
        return y[-1]
    i = bisect_right(x, at) - 1
    return y[i] + (y[i + 1] - y[i]) * (at - x[i]) / (x[i + 1] - x[i])


def _slopes(x: tuple[float, ...], y: tuple[float, ...]) -> tuple[float, ...]:
    width = [b - a for a, b in zip(x, x[1:], strict=False)]
    rise = [(b - a) / w for a, b, w in zip(y, y[1:], width, strict=False)]
    inner = [
        _mean_slope(width[i - 1], width[i], rise[i - 1], rise[i])
        for i in range(1, len(width))
    ]
    first = _end_slope(width[0], width[1], rise[0], rise[1])
    last = _end_slope(width[-1], width[-2], rise[-1], rise[-2])
    return (first, *inner, last)


def _mean_slope(
    left_width: float, right_width: float, left: float, right: float
) -> float:
    if left * right <= 0:
        return 0.0
    near, far = 2 * right_width + left_width, right_width + 2 * left_width
    return (near + far) / (near / left + far / right)


def _end_slope(width: float, next_width: float, rise: float, next_rise: float) -> float:
    slope = ((2 * width + next_width) * rise - width * next_rise) / (width + next_width)
    if slope * rise <= 0:
        return 0.0
    if rise * next_rise < 0 and abs(slope) > abs(3 * rise):
        return 3 * rise
    return slope
