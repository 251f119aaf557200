"""Two rows that are one customer, or one car: what hangs on one goes to the other."""

from __future__ import annotations

from typing import Any, TypeVar

from django.db import models

from jobs.models import Booking, Customer, SearchKey, Vehicle, WorkOrder
from jobs.stages.table import CLOSED
from shopapp.frame import Act, Json, Refused, action
from shopapp.say import say

Row = TypeVar("Row", Customer, Vehicle)


@action("customer.merge")
def merge_customers(act: Act, *, customer_pk: int, twin_pk: int) -> Json:
    """Put a customer's twin into this one; the twin is gone afterwards."""
    kept, gone = _both(act, Customer, customer_pk, twin_pk)
    kept.is_account = kept.is_account or gone.is_account
    _merge(act, kept, gone, what="customer")
    return {"pk": kept.pk}


@action("vehicle.merge")
def merge_vehicles(act: Act, *, vehicle_pk: int, twin_pk: int) -> Json:
    """Put a car's twin into this one; its bookings go along to this one's owner."""
    kept, gone = _both(act, Vehicle, vehicle_pk, twin_pk)
    if kept.customer_id != gone.customer_id:
        raise Refused(
            say("The cars belong to two customers. Put the customers together first.")
        )
    here = WorkOrder.objects.exclude(stage=CLOSED.value)
    if all(here.filter(vehicle=car).exists() for car in (kept, gone)):
        raise Refused(say("Both cars are in the shop. One car cannot be here twice."))
    _merge(act, kept, gone, what="car")
    return {"pk": kept.pk}


def hanging_on(model: type[models.Model]) -> list[models.ForeignKey[Any, Any]]:
    """Every column anywhere that points at a row of this model."""
    return [
        relation.field
        for relation in model._meta.related_objects
        if isinstance(relation, models.ManyToOneRel)
    ]


def _both(act: Act, model: type[Row], kept_pk: int, gone_pk: int) -> tuple[Row, Row]:
    if kept_pk == gone_pk:
        raise Refused(say("That is the same one."))
    rows = {row.pk: row for row in act.lock_all(model, [kept_pk, gone_pk])}
    return rows[kept_pk], rows[gone_pk]


def _merge(act: Act, kept: Row, gone: Row, *, what: str) -> None:
    model = type(kept)
    name = model._meta.model_name or ""
    theirs = {name: gone}
    booked = Booking.objects.filter(**theirs).values_list("pk", flat=True)
    taken_in = WorkOrder.objects.filter(**theirs).values_list("pk", flat=True)
    bookings: list[Booking] = act.lock_all(Booking, booked)
    orders: list[WorkOrder] = act.lock_all(WorkOrder, taken_in)
    for column in hanging_on(model):
        rows = column.model._default_manager.filter(**{column.name: gone})
        rows.update(**{column.name: kept})
    touched: list[Booking | WorkOrder] = [*bookings, *orders]
    for row in touched:
        act.event(row, "merged", what=what, kept=kept.pk, gone=gone.pk)
    _fill(kept, gone)
    SearchKey.objects.filter(of=model.found_as, row=gone.pk).delete()
    gone.delete()
    kept.save()


def _fill(kept: Row, gone: Row) -> None:
    """What only the twin knew is kept; both notes are."""
    for column in kept._meta.concrete_fields:
        if column.name not in {"notes", "id"} and not getattr(kept, column.attname):
            setattr(kept, column.attname, getattr(gone, column.attname))
    notes = dict.fromkeys(note for note in (kept.notes, gone.notes) if note)
    kept.notes = "\n".join(notes)
