"""Which backups are kept: the newest of the last days, weeks and months (pure)."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from datetime import datetime


def kept(
    moments: Iterable[datetime], *, days: int, weeks: int, months: int
) -> set[datetime]:
    """The moments whose backups stay; in the shop's zone, the newest one always.

    Days without a backup are not counted, so that a shop that was closed for a month
    keeps as many as any other.

    >>> night = [datetime(2026, 3, day, 2) for day in range(1, 31)]
    >>> sorted(each.day for each in kept(night, days=3, weeks=2, months=1))
    [28, 29, 30]
    """
    newest_first = sorted(moments, reverse=True)
    found = set(newest_first[:1])
    found |= _newest_of_each(newest_first, lambda at: at.date(), most=days)
    found |= _newest_of_each(newest_first, lambda at: at.isocalendar()[:2], most=weeks)
    found |= _newest_of_each(newest_first, lambda at: (at.year, at.month), most=months)
    return found


def _newest_of_each(
    newest_first: list[datetime], period: Callable[[datetime], object], *, most: int
) -> set[datetime]:
    newest: dict[object, datetime] = {}
    for at in newest_first:
        newest.setdefault(period(at), at)
    return set(list(newest.values())[:most])
