"""Arrivals: who is expected today, and what is asked when a car comes."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils import timezone
from django.views.decorators.http import require_GET

from jobs.bookings.arrival_forms import TakeInForm
from jobs.bookings.queries import (
    expected_days,
    free_bay_of,
    not_come,
    taken_in_today,
    with_heads,
)
from jobs.models import Booking, WorkOrder
from jobs.workorders.here_queries import orders_here
from shopapp.access import allow
from shopapp.models import the_shop
from shopapp.pressing import Bound, form_for
from shopapp.say import Say

DAYS = 7


@require_GET
@allow("arrival.view")
def arrivals(request: HttpRequest) -> HttpResponse:
    """Cars expected today and in the next days."""
    shop, now = the_shop(), timezone.now()
    context = {
        "days": expected_days(now=now, days=DAYS, shop=shop),
        "not_come": not_come(now=now, shop=shop),
        "taken_in": taken_in_today(now=now, shop=shop),
        "today": timezone.localtime(now, shop.zone).date(),
    }
    return render(request, "jobs/bookings/arrivals.html", context)


@require_GET
@allow("arrival.view")
def arrival_detail(
    request: HttpRequest, pk: int, *, bound: Bound | None = None
) -> HttpResponse:
    """One expected car, with what is asked when it comes."""
    booking = get_object_or_404(with_heads(), pk=pk)

    def as_booked() -> TakeInForm:
        return TakeInForm(initial={"where": free_bay_of(booking)})

    context = {
        "booking": booking,
        "bound": bound,
        "here": _here(booking),
        "other_day": booking.arrives_at.astimezone(the_shop().zone).date()
        != timezone.localtime(timezone.now(), the_shop().zone).date(),
        "panels": booking.panels.count(),
        "form": form_for(as_booked, bound, "arrival_take_in"),
    }
    return render(request, "jobs/bookings/arrival_detail.html", context)


def _here(booking: Booking) -> tuple[WorkOrder, Say] | None:
    """The order that the car stands on already, and what is said of it."""
    if booking.state != Booking.State.BOOKED:
        return None
    return next(iter(orders_here([booking.vehicle_id])), None)
