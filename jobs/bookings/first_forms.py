"""What the booking's form begins with: a fresh one, or a booking as it was agreed."""

from __future__ import annotations

from typing import Any

from django.utils import timezone

from jobs.bookings.figure_queries import BookingFigures, booking_figures
from jobs.bookings.forms import WORK_ROWS, BookingForm
from jobs.coverage.catalogue import Body, Method, Package, default_choices
from jobs.coverage.forms import coverage_initial, most_used
from jobs.customers.forms import vehicle_initial
from jobs.models import Booking, Customer, Vehicle


def whose(*, customer: Customer | None, vehicle: Vehicle | None) -> dict[str, Any]:
    """A known customer and car in the form."""
    initial: dict[str, Any] = {}
    if customer is not None:
        initial |= {"customer_pk": customer.pk, "name": customer.name}
        initial |= {"phone": customer.phone, "email": customer.email}
        initial["is_account"] = customer.is_account
    if vehicle is not None:
        initial |= {"vehicle_pk": vehicle.pk, **vehicle_initial(vehicle)}
    return initial


def new_initial(
    *, customer: Customer | None, vehicle: Vehicle | None
) -> dict[str, Any]:
    """A fresh booking: a full front, tomorrow at opening, for whom it is known."""
    body = Body(vehicle.body) if vehicle else Body.SEDAN
    method = Method.HAND_FITTED
    package = Package.FULL_FRONT
    choices = default_choices(package, body=body, method=method)
    initial = coverage_initial(package, choices, method=method)
    initial |= whose(customer=customer, vehicle=vehicle)
    return initial


def first_figures(form: BookingForm) -> BookingFigures | None:
    """The figures of a fresh page, from what it starts with."""
    package, body = Package(form["package"].value()), form.body_shown()
    method = Method(form["method"].value())
    known = {
        "package": package,
        "panels": default_choices(package, body=body, method=method),
        "film": form.fields["film"].queryset.first(),  # type: ignore[attr-defined]
        "size_class": form["size_class"].value(),
        "body": body,
        "model": form["model"].value() or "",
    }
    return booking_figures(known) if known["film"] else None


def booking_initial(booking: Booking) -> dict[str, Any]:
    """A booking as it was agreed, to be changed."""
    rows = list(booking.panels.all())
    initial = coverage_initial(Package(booking.package), rows, method=most_used(rows))
    initial |= vehicle_initial(booking.vehicle)
    for name in (
        "film",
        "bay",
        "order_number",
        "price",
        "deposit",
        "paint_history",
        "notes",
    ):
        initial[name] = getattr(booking, name)
    for name in ("arrives_at", "promised_at"):
        initial[name] = timezone.localtime(getattr(booking, name))
    if wish := getattr(booking, "wish", None):
        initial |= {"film_day": wish.day, "film_half": wish.half}
        initial["people"] = list(wish.people.all())
    for row, work in zip(WORK_ROWS, booking.added_work.all(), strict=False):
        for part in ("name", "minutes", "when", "skill", "price"):
            initial[f"work_{row}_{part}"] = getattr(work, part)
    return initial
