"""The booking's form while it is being filled in: nothing is kept, nobody is blamed."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from django.http import QueryDict

from jobs.bookings.first_forms import whose
from jobs.bookings.forms import BookingForm
from jobs.coverage.forms import with_package
from jobs.models import Booking, Customer, Vehicle
from jobs.opening.queries import opening_of
from jobs.plan.fit_queries import MOMENT, Picked
from jobs.plan.promise import moved_along
from jobs.plan.visit_queries import moment_of


def as_typed(data: QueryDict, *, booking: Booking | None) -> BookingForm:
    """What was typed so far, worked out and shown again without a word of blame."""
    data = taken(data)
    worked_out = BookingForm(data, booking=booking)
    worked_out.is_valid()
    typed: dict[str, Any] = dict(with_package(data).items())
    typed["people"] = data.getlist("people")
    form = BookingForm(initial=typed | picked(data), booking=booking)
    form.figures = worked_out.figures
    return form


def taken(data: QueryDict) -> QueryDict:
    """What was typed, with the customer or car that was just taken over."""
    kind, _, pk = data.get("take", "").partition(":")
    if not pk.isdecimal() or len(pk) > 17:
        return data
    vehicle = Vehicle.objects.filter(pk=pk).first() if kind == "car" else None
    customer = vehicle.customer if vehicle else None
    if kind == "customer":
        customer = Customer.objects.filter(pk=pk).first()
    filled = data.copy()
    for name, value in whose(customer=customer, vehicle=vehicle).items():
        if value is False:
            filled.pop(name, None)
        else:
            filled[name] = (
                "on" if value is True else str("" if value is None else value)
            )
    return filled


def picked(data: QueryDict) -> dict[str, str]:
    """What a tap on an offer, or an arrival moved past it, fills in."""
    if offer := Picked.read(data.get("offer", "")):
        return {**vars(offer), "offered": str(offer)}
    offer = Picked.read(data.get("offered", ""))
    arrives_at = moment_of(data.get("arrives_at", ""))
    if offer is None or arrives_at is None:
        return {}
    promised_at, was_for = moment_of(offer.promised_at), moment_of(offer.arrives_at)
    typed = moment_of(data.get("promised_at", ""))
    if not promised_at or not was_for or typed != promised_at or arrives_at < typed:
        return {}
    later = moved_along(
        promised_at, offered_for=was_for, arrives_at=arrives_at, opening=opening_of()
    )
    moved = replace(
        offer, arrives_at=f"{arrives_at:{MOMENT}}", promised_at=f"{later:{MOMENT}}"
    )
    return {"promised_at": moved.promised_at, "offered": str(moved)}
