"""The shop's cure table, and how long the film of a car settles."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from django.db.models import Max
from django.utils import timezone

from jobs.coverage.catalogue import Package
from jobs.cure.dates import CureRule, Settling, settled_at, settling, where_to_settle
from jobs.models import CureTable, Film, WorkOrder
from jobs.opening.queries import opening_of
from jobs.stages.table import May
from shopapp.models import the_shop
from shopapp.once import once_a_page
from shopapp.say import Say

NAMES = tuple(
    field.name for field in CureTable._meta.get_fields() if field.name != "id"
)


@once_a_page
def _row() -> CureTable:
    return CureTable.objects.filter(pk=1).first() or CureTable()


def cure_rule(**more: Any) -> CureRule:
    """The table as the pure rooms ask for it; `more` is a film maker's own."""
    row = _row()
    return CureRule(**{name: getattr(row, name) for name in NAMES} | more)


def settling_of(
    film: Film, package: Package, *, rule: CureRule | None = None
) -> Settling:
    """What the film's maker says, else the shop's table."""
    return settling(
        package=package,
        maker_h=film.cure_h,
        maker=f"maker of {film}",
        rule=rule or cure_rule(),
    )


def package_of(workorder: WorkOrder) -> Package:
    """What was sold; a return visit counts as single panels."""
    booking = workorder.booking
    return Package(booking.package) if booking else Package.SINGLE_PANELS


def cure_over_at(workorder: WorkOrder, *, at: datetime) -> datetime:
    """When the cure time of a car is over.

    Counted from the last panel laid in any round, or from `at` where none was.
    """
    last = workorder.panels.filter(struck_off_at__isnull=True).aggregate(
        last=Max("laid_at")
    )["last"]
    shop = the_shop()
    return settled_at(
        laid_at=timezone.localtime(last or at, shop.zone),
        settling=settling_of(workorder.film, package_of(workorder)),
        opening=opening_of(shop),
    )


def settles_where(workorder: WorkOrder, *, now: datetime) -> Say | None:
    """What is said of the place of a car whose film settles."""
    over, place = workorder.cure_over_at, workorder.place
    return where_to_settle(
        is_settling=workorder.stage_now.may(May.SETTLE) and bool(over and over > now),
        in_a_bay=workorder.bay_id is not None,
        is_indoors=place.is_indoors if place else None,
    )
