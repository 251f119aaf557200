"""How long a package takes in this shop: as its owner says, else the defaults."""

from __future__ import annotations

from collections.abc import Mapping

from jobs.coverage.catalogue import Package
from jobs.models import PackageHours
from jobs.package_hours.defaults import DEFAULTS, PackageTimes
from shopapp.once import once_a_page

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
