"""Columns on paper: laid out here, since a page engine balances them very slowly."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from decimal import Decimal
from typing import Any

from django import template
from django.utils.safestring import SafeString

from jobs.papers.columns import parted
from jobs.papers.image_facts import image_of
from mixing.sheet import SolutionSheet

register = template.Library()

PIECE = 3
"""So many lines of a checklist stay together."""


@register.filter
def drawn_as(svg: str, alt: str) -> SafeString:
    """A drawing as an image that is read out as `alt`."""
    return image_of(svg, alt=alt)


@register.filter
def in_blocks(items: Sequence[Any], number: int) -> list[Sequence[Any]]:
    """Blocks of so many: a page may end between them, not within one's columns."""
    return [items[at : at + number] for at in range(0, len(items), number)]


@register.filter
def in_columns(items: Iterable[Any], number: int) -> list[list[Any]]:
    """The items in order, parted into columns of about equal length."""
    return parted(list(items), number=number, weight=lambda item: 1)


@register.filter
def lists_in_columns(lists: Iterable[Any], number: int) -> list[list[Any]]:
    """Checklists in order, in pieces of a few lines; only the first has the name."""
    pieces = [
        {
            "name": "" if at else one["name"],
            "open_then": one.get("open_then", 0),
            "lines": one["lines"][at : at + PIECE],
        }
        for one in lists
        for at in range(0, len(one["lines"]), PIECE)
    ]

    def weight(piece: Any) -> float:
        texts = sum(1 + len(line["text"]) // 34 for line in piece["lines"])
        return texts + (1.5 if piece["name"] else 0)

    return parted(pieces, number=number, weight=weight)


@register.filter
def solutions_in_columns(
    solutions: Iterable[SolutionSheet], number: int
) -> list[list[SolutionSheet]]:
    """Solutions of a sheet, parted by how many pours they have."""

    def weight(solution: SolutionSheet) -> float:
        return 3 + sum(3 + len(fill.pours) for fill in solution.fills)

    return parted(list(solutions), number=number, weight=weight)


@register.filter
def cents(amount: str) -> str:
    """Kept money as it is read: "1990.00" as "1,990.00"."""
    return f"{Decimal(amount):,.2f}"
