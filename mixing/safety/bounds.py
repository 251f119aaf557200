"""Refusals of numbers that cannot be meant, each naming the remedy (pure)."""

from __future__ import annotations

SMALLEST = 1e-12
LARGEST = 1e12
"""Nothing in a shop is nearer to nothing or larger; within them no sum runs over."""


def number(value: object, *, what: str, remedy: str) -> float:
    """The value, when it is a plain number; ValueError otherwise.

    >>> number(600, what="The exhaust flow", remedy="Measure it.")
    600
    """
    plain = isinstance(value, int | float) and not isinstance(value, bool)
    if not plain or value != value:
        raise ValueError(f"{what} must be a plain number, not {value!r}. {remedy}")
    if isinstance(value, int) and abs(value) > LARGEST:
        raise ValueError(f"{what} cannot have {len(str(abs(value)))} digits. {remedy}")
    assert isinstance(value, int | float)
    return value


def above_zero(value: float, *, what: str, remedy: str) -> float:
    """The value, when it is a number above zero that can be meant; else ValueError.

    >>> above_zero(600.0, what="The exhaust flow", remedy="Measure it.")
    600.0
    """
    if type(value) is float and SMALLEST <= value <= LARGEST:
        return value  # The usual one first: a block asks a thousand times.
    number(value, what=what, remedy=remedy)
    if value < SMALLEST:
        raise ValueError(f"{what} must be above zero, not {value:g}. {remedy}")
    if value > LARGEST:
        raise ValueError(f"{what} cannot be {value:g}. {remedy}")
    return value


def not_negative(value: float, *, what: str, remedy: str) -> float:
    """The value, when it is zero or a number that can be meant; else ValueError.

    >>> not_negative(0.0, what="The litres sprayed", remedy="Enter 0 for none.")
    0.0
    """
    if type(value) is float and 0 <= value <= LARGEST:
        return value
    number(value, what=what, remedy=remedy)
    if not 0 <= value <= LARGEST:
        raise ValueError(f"{what} cannot be {value:g}. {remedy}")
    return value


def between(
    value: float, *, low: float, high: float, what: str, unit: str, remedy: str
) -> float:
    """The value, when it lies from low to high inclusive; ValueError otherwise.

    >>> between(20.0, low=-20, high=60, what="The air", unit="°C", remedy="Read it.")
    20.0
    """
    if type(value) is float and low <= value <= high:
        return value
    number(value, what=what, remedy=remedy)
    if not low <= value <= high:
        shown = f"{value:g}"
        if shown in (f"{low:g}", f"{high:g}"):
            shown = repr(value)  # A hair outside: the rounded number would mislead.
        raise ValueError(
            f"{what} must lie between {low:g} and {high:g} {unit}".rstrip()
            + f", not {shown}. {remedy}"
        )
    return value
