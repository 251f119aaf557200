"""When the shop is open, as the pure rooms ask for it."""

from __future__ import annotations

from datetime import date, datetime

from django.utils import timezone

from jobs.opening.hours import Hours, Opening, closed_then
from shopapp.models import Holiday, OpenDay, Shop, the_shop
from shopapp.once import once_a_page
from shopapp.say import Say


@once_a_page
def _days() -> tuple[dict[int, Hours | None], dict[date, str]]:
    """Open days that differ, and holidays."""
    other: dict[int, Hours | None] = {}
    for row in OpenDay.objects.all():
        if not row.is_open:
            other[row.weekday] = None
        elif row.opens_at and row.closes_at:
            other[row.weekday] = Hours(opens_at=row.opens_at, closes_at=row.closes_at)
    holidays = Holiday.objects.filter(taken_off_at=None).values_list("day", "name")
    return other, dict(holidays)


def opening_of(shop: Shop | None = None) -> Opening:
    """The shop's hours, open days and holidays."""
    known = shop or the_shop()
    other, holidays = _days()
    return Opening(
        opens_at=known.opens_at,
        closes_at=known.closes_at,
        other=other,
        holidays=holidays,
    )


def said_closed(what: str, at: datetime | None) -> Say | None:
    """What is said of an arrival, a promise or a recheck when the shop is closed."""
    if at is None:
        return None
    shop = the_shop()
    local = timezone.localtime(at, shop.zone)
    return closed_then(what, local, opening=opening_of(shop))
