"""When the car that is being booked fits: a fragment that is asked for by itself."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from jobs.bookings.forms import BookingForm
from jobs.bookings.queries import with_heads
from jobs.bookings.typed_forms import picked
from jobs.models import Booking
from jobs.plan.fit_queries import FitsNow, fits_now
from jobs.plan.visit_queries import instead_of
from shopapp.access import allow


@require_POST
@allow("booking.make")
def booking_fits(request: HttpRequest, pk: int | None = None) -> HttpResponse:
    """Days that fit, and what stands against what is typed; nothing is kept."""
    booking = get_object_or_404(with_heads(), pk=pk) if pk else None
    moved = picked(request.POST)
    fits, typed = typed_fits(request, booking), request.POST.dict() | moved
    context: dict[str, Any] = {"fits": fits, "asked": True, "apart": True}
    context["instead"] = instead_of(typed, now=timezone.now())
    row = [pk] if pk else []
    context["look_url"] = reverse("jobs:booking_look", args=row)
    if moved:
        form = BookingForm(initial=moved, booking=booking, works_out=False)
        context |= {"moved": form}
    return render(request, "jobs/bookings/_booking_fits.html", context)


def typed_fits(request: HttpRequest, booking: Booking | None) -> FitsNow | None:
    """What the plan says to a half-filled form."""
    data = request.POST.copy()
    # As it will stand in the form: an offer tapped, a promise moved along.
    for name, value in picked(data).items():
        data[name] = value
    form = BookingForm(data, booking=booking, works_out=False)
    form.is_valid()
    return fits_now(form.cleaned_data, now=timezone.now(), booking=booking)
