"""How long a package takes in this shop: as its owner says, else the defaults."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from django.db.models import Max, Min, Q
from django.utils import timezone

from jobs.coverage.catalogue import Package
from jobs.models import PackageHours, WorkOrder
from jobs.opening.queries import opening_of
from jobs.package_hours.defaults import DEFAULTS, PackageTimes
from jobs.package_hours.took import Laid, took_h
from jobs.stages.table import CLOSED
from shopapp.figures import Figure
from shopapp.models import the_shop
from shopapp.once import once_a_page

MOST_ORDERS = 300
"""Closed orders that are looked at, of all packages together."""
FIELDS = ("prep_min", "laying_min", "helper_min", "nights")


@once_a_page
def all_hours() -> Mapping[Package, PackageTimes]:
    """The hours of every package, in one query."""
    rows = {row.package: row for row in PackageHours.objects.all()}
    return {package: _times(package, rows.get(package.value)) for package in Package}


def hours_of(package: Package) -> PackageTimes:
    """The hours of one package."""
    return all_hours()[package]


def _times(package: Package, row: PackageHours | None) -> PackageTimes:
    usual = DEFAULTS[package]
    if row is None:
        return usual
    said = {name: getattr(row, name) for name in FIELDS}
    known = {
        name: getattr(usual, name) if value is None else value
        for name, value in said.items()
    }
    return PackageTimes(**known, ready_from=row.ready_from or usual.ready_from)


def took() -> Mapping[Package, Figure]:
    """What the newest closed cars of each package took; absent where there is none."""
    shop = the_shop()
    cars: dict[Package, list[Laid]] = {package: [] for package in Package}
    for row in _newest_closed():
        cars[Package(row["booking__package"])].append(
            Laid(
                number=row["number"],
                began_at=timezone.localtime(row["began"], shop.zone),
                ended_at=timezone.localtime(row["ended"], shop.zone),
            )
        )
    opening = opening_of(shop)
    figures = {each: took_h(laid, opening=opening) for each, laid in cars.items()}
    return {package: figure for package, figure in figures.items() if figure}


def _newest_closed() -> Iterable[Any]:
    """Newest first. A redo lays anew what counted before: such a car says nothing."""
    filmed = Q(panels__struck_off_at=None)
    return (
        WorkOrder.objects.filter(
            stage=CLOSED.value, round=1, booking__isnull=False, return_of=None
        )
        .order_by("-handed_over_at", "-pk")
        .annotate(
            began=Min("panels__ready_at", filter=filmed),
            ended=Max("panels__laid_at", filter=filmed),
        )
        .filter(began__isnull=False, ended__isnull=False)
        .values("number", "booking__package", "began", "ended")[:MOST_ORDERS]
    )
