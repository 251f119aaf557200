"""Whether a car is in the shop, and on which order."""

from __future__ import annotations

from jobs.models import WorkOrder
from jobs.stages.table import CLOSED
from shopapp.say import Say, say


def order_here(vehicle_pk: int | None) -> WorkOrder | None:
    """The open order of a car, or None while it is not in."""
    if vehicle_pk is None:
        return None
    rows = WorkOrder.objects.select_related("bay", "place", "vehicle")
    return rows.exclude(stage=CLOSED.value).filter(vehicle=vehicle_pk).first()


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
