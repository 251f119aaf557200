"""How long a mixed bottle may be used: days by kind, set by the shop (pure)."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, timedelta

from mixing.recipes.spec import SolutionKind

SLIP_DAYS, TACK_DAYS, ALL_IN_ONE_DAYS, GEL_DAYS = 2, 7, 2, 7
"""Closed bottles: tack about a week, what holds soap about two days. Common practice,
no published source; gel is taken like tack, ours."""


USUAL_DAYS: Mapping[SolutionKind, int] = {
    SolutionKind.SLIP: SLIP_DAYS,
    SolutionKind.TACK: TACK_DAYS,
    SolutionKind.ALL_IN_ONE: ALL_IN_ONE_DAYS,
    SolutionKind.GEL: GEL_DAYS,
}


def last_day(*, mixed_on: date, days: int) -> date:
    """The last day on which a mix may be used; with 0 days that on which it was mixed.

    mixed_on  the shop's day of mixing
    days      0 or more

    >>> last_day(mixed_on=date(2031, 5, 6), days=2)
    datetime.date(2031, 5, 8)
    """
    return mixed_on + timedelta(days=days)
