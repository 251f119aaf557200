"""Columns on paper, laid out here: a page engine balances them very slowly."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TypeVar

T = TypeVar("T")


def parted(
    items: Sequence[T], *, number: int, weight: Callable[[T], float]
) -> list[list[T]]:
    """Items in order in so many columns, the heaviest column as light as can be."""
    weights = [weight(item) for item in items]
    low, high = max(weights, default=0.0), sum(weights)
    for _ in range(30):
        middle = (low + high) / 2
        if len(_fill(items, weights, most=middle)) <= number:
            high = middle
        else:
            low = middle
    columns = _fill(items, weights, most=high)
    return columns + [[] for _ in range(number - len(columns))]


def _fill(
    items: Sequence[T], weights: Sequence[float], *, most: float
) -> list[list[T]]:
    columns: list[list[T]] = [[]]
    held = 0.0
    for item, heavy in zip(items, weights, strict=True):
        if columns[-1] and held + heavy > most:
            columns.append([])
            held = 0.0
        columns[-1].append(item)
        held += heavy
    return columns
