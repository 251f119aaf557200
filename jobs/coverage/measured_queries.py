"""Panels that the shop has measured and what it adds to them, for a car's blanks."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from django.db.models.functions import Lower, Trim

from jobs.coverage.allowances import AllowanceSet, Key
from jobs.coverage.blanks import PanelSize
from jobs.coverage.catalogue import Body, Method
from jobs.coverage.measured import Car, MeasuredSize, sizes_on
from jobs.models import MeasuredPanel, PanelAllowance, Vehicle
from shopapp.once import once_a_page


def car_of(vehicle: Vehicle) -> Car:
    """A car of the shop's book as the pure rooms know it."""
    return Car(
        make=vehicle.make,
        model=vehicle.model,
        body=Body(vehicle.body),
        year=vehicle.year,
    )


def measured_size(row: MeasuredPanel) -> MeasuredSize:
    """A measured panel as the pure rooms know it."""
    return MeasuredSize(
        panel=row.panel,
        length_mm=row.length_mm,
        width_mm=row.width_mm,
        make=row.make,
        model=row.model,
        body=Body(row.body),
        year_from=row.year_from,
        year_to=row.year_to,
    )


@once_a_page
def _measured(models: frozenset[str]) -> tuple[MeasuredSize, ...]:
    """Panels measured on cars of such names, the newest last."""
    if not models:
        return ()
    rows = MeasuredPanel.objects.alias(name=Lower(Trim("model")))
    rows = rows.filter(name__in=models).order_by("measured_at", "pk")
    return tuple(measured_size(row) for row in rows)


def measured_on(car: Car) -> Mapping[str, PanelSize]:
    """Panels that the shop has measured on such a car."""
    return measured_on_all([car])[car]


def measured_on_all(cars: Iterable[Car]) -> dict[Car, Mapping[str, PanelSize]]:
    """The same for many cars, in one query."""
    wanted = list(cars)
    names = (" ".join(car.model.lower().split()) for car in wanted if car.model)
    sizes = _measured(frozenset(names))
    return {car: sizes_on(car, sizes) for car in wanted}


def allowances() -> dict[Key, AllowanceSet]:
    """What the shop adds to its panels, where it has set it: the newest of each."""
    return {
        (row.kind, Method(row.method)): AllowanceSet(
            kind=row.kind,
            method=Method(row.method),
            wrap_length_mm=row.wrap_length_mm,
            wrap_width_mm=row.wrap_width_mm,
            hold_length_mm=row.hold_length_mm,
            hold_width_mm=row.hold_width_mm,
        )
        for row in PanelAllowance.objects.order_by("pk")
    }
