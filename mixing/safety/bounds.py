"""Refusals of numbers that cannot be meant, each naming the remedy (pure)."""

from __future__ import annotations

from math import isfinite


def above_zero(value: float, *, what: str, remedy: str) -> float:
    """The value, when it is a finite number above zero; ValueError otherwise.

    >>> above_zero(600.0, what="The exhaust flow", remedy="Measure it.")
    600.0
    """
    if not isfinite(value) or value <= 0:
        raise ValueError(f"{what} must be above zero, not {value:g}. {remedy}")
    return value


def not_negative(value: float, *, what: str, remedy: str) -> float:
    """The value, when it is a finite number of zero or more; ValueError otherwise.

    >>> not_negative(0.0, what="The litres sprayed", remedy="Enter 0 for none.")
    0.0
    """
    if not isfinite(value) or value < 0:
        raise ValueError(f"{what} cannot be {value:g}. {remedy}")
    return value


def between(
    value: float, *, low: float, high: float, what: str, unit: str, remedy: str
) -> float:
    """The value, when it lies from low to high inclusive; ValueError otherwise.

    >>> between(20.0, low=-20, high=60, what="The air", unit="°C", remedy="Read it.")
    20.0
    """
    if not isfinite(value) or not low <= value <= high:
        raise ValueError(
            f"{what} must lie between {low:g} and {high:g} {unit}".rstrip()
            + f", not {value:g}. {remedy}"
        )
    return value
