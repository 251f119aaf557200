"""Whether a car is in the shop, and on which order."""

from __future__ import annotations

from collections.abc import Iterable

from jobs.customers.known_queries import rows_of_car
from jobs.models import Vehicle, WorkOrder
from jobs.stages.table import CLOSED
from shopapp.say import Say, say


def order_here(vehicle_pk: int) -> WorkOrder | None:
    """The open order of a car, or None while it is not in."""
    found = orders_here([vehicle_pk])
    return found[0][0] if found else None


def refused_here(vehicle: Vehicle) -> tuple[Say, ...]:
    """Why this car cannot come: it is in, on this row or on another one of it."""
    found = orders_here(row.pk for row in rows_of_car(vehicle))
    if not found:
        return ()
    order, said = found[0]
    if order.vehicle_id == vehicle.pk:
        return (said,)
    twice = say(
        "{car} stands twice in the list of cars, once with {name}. Put both rows"
        " together on its page.",
        car=vehicle.short_name,
        name=order.customer.name,
    )
    return said, twice


def orders_here(vehicle_pks: Iterable[int]) -> list[tuple[WorkOrder, Say]]:
    """The open orders of these cars, each with what is said of it."""
    rows = WorkOrder.objects.select_related("bay", "place", "vehicle", "customer")
    found = rows.exclude(stage=CLOSED.value).filter(vehicle__in=set(vehicle_pks))
    return [(order, already_in(order)) for order in found]


def already_in(order: WorkOrder) -> Say:
    """That a car is in, where it stands, and what to do instead."""
    stands = order.bay or order.place
    if stands is None:
        return say(
            "This car is in already, on {order}: add to its order instead.",
            order=order.number,
        )
    return say(
        "This car stands in {place} already, on {order}: add to its order instead.",
        place=str(stands),
        order=order.number,
    )
