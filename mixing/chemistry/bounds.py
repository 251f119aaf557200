"""The one sentence that refuses a number outside its range (pure)."""

from __future__ import annotations

import math
import sys


def within(value: float, *, what: str, low: float, high: float, unit: str) -> float:
    """The value, if it is a number from low to high.

    Raises ValueError with a sentence that names the quantity and its range.

    >>> within(140, what="Humidity", low=0, high=100, unit="%")
    Traceback (most recent call last):
        ...
    ValueError: Humidity must be from 0 to 100 %, not 140.
    """
    if _is_plain(value) and low <= value <= high:
        return value
    raise ValueError(_sentence(value, what=what, low=low, high=high, unit=unit))


def above_zero(value: float, *, what: str, unit: str) -> float:
    """The value, if it is a number above 0.

    >>> above_zero(0, what="The volume", unit="mL")
    Traceback (most recent call last):
        ...
    ValueError: The volume must be above 0 mL, not 0.
    """
    if _is_plain(value) and value > 0:
        return value
    raise ValueError(
        f"{what} must be above 0 {unit}".rstrip() + f", not {_shown(value)}."
    )


def _sentence(value: float, *, what: str, low: float, high: float, unit: str) -> str:
    if math.isinf(high):
        span = f"{low:g} {unit} or more" if low else f"0 {unit} or more"
    else:
        span = f"from {low:g} to {high:g} {unit}".rstrip()
    return f"{what} must be {span}, not {_shown(value)}."


def _is_plain(value: object) -> bool:
    """A number of Python's own that a float can hold; no text, no truth value."""
    if isinstance(value, bool) or not isinstance(value, int | float):
        return False
    return abs(value) <= sys.float_info.max


def _shown(value: object) -> str:
    if isinstance(value, float):
        return "empty" if math.isnan(value) else f"{value:g}"
    if isinstance(value, int) and not isinstance(value, bool):
        return f"{value:g}" if _is_plain(value) else "that much"
    return repr(value)
