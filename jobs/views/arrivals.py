"""Arrivals: who is expected today, and the button that takes a car in."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from jobs.actions.arrivals import take_in_car
from jobs.forms.arrivals import TakeInForm
from jobs.models import Booking
from jobs.queries.bookings import (
    expected_days,
    not_come,
    taken_in_today,
    with_heads,
)
from shopapp.access import allow
from shopapp.models import the_shop
from shopapp.pressing import Bound, form_for, press

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
    return render(request, "jobs/arrivals.html", context)


@require_GET
@allow("arrival.view")
def arrival_detail(request: HttpRequest, pk: int) -> HttpResponse:
    """One expected car, with what is asked when it comes."""
    return _page(request, pk, None)


def _page(request: HttpRequest, pk: int, bound: Bound | None) -> HttpResponse:
    booking = get_object_or_404(with_heads(), pk=pk)
    context = {
        "booking": booking,
        "bound": bound,
        "panels": booking.panels.count(),
        "form": form_for(TakeInForm, bound, "arrival_take_in"),
    }
    return render(request, "jobs/arrival_detail.html", context)


@require_POST
@allow("arrival.take_in")
def arrival_take_in(request: HttpRequest, pk: int) -> HttpResponse:
    """Take it in; its work order begins."""
    get_object_or_404(Booking, pk=pk)
    return press(
        request,
        take_in_car,
        form=TakeInForm(request.POST),
        page=lambda bound: _page(request, pk, bound),
        then=lambda answer: reverse("jobs:workorder_detail", args=[answer["pk"]]),
        booking_pk=pk,
    )
