"""What a booked car moved to another day would mean; nothing is kept."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from jobs.bookings.move_actions import moved_to
from jobs.bookings.move_forms import MoveDayForm
from jobs.bookings.queries import chosen_panels, with_heads
from jobs.coverage.catalogue import Body, Package
from jobs.models import Booking
from jobs.plan.fit_queries import fits_now
from jobs.plan.visit_queries import days_near_visit, visit_refused
from shopapp.access import allow


@require_POST
@allow("booking.move")
def booking_move_look(request: HttpRequest, pk: int) -> HttpResponse:
    """What stands against this day, and the promise that moves along."""
    rows = with_heads().prefetch_related("panels", "added_work")
    booking = get_object_or_404(rows, pk=pk)
    form = MoveDayForm(request.POST)
    context: dict[str, Any] = {"move_form": form, "booking": booking}
    if form.is_valid():
        context |= _looked(booking, **form.cleaned_data)
    return render(request, "jobs/bookings/_move_look.html", context)


def _looked(booking: Booking, **typed: Any) -> dict[str, Any]:
    arrives_at, promised_at = moved_to(booking, **typed)
    known = {
        "package": Package(booking.package),
        "panels": chosen_panels(booking),
        "film": booking.film,
        "body": Body(booking.vehicle.body),
        "plate": booking.vehicle.short_name,
        "bay": booking.bay,
        "added_work": list(booking.added_work.values("minutes", "when", "skill")),
        "arrives_at": arrives_at,
        "promised_at": promised_at,
        "wanted": typed["day"],
    }
    now = timezone.now()
    fits, shut = (
        fits_now(known, now=now, booking=booking),
        visit_refused(arrives_at, now=now),
    )
    why_not = fits.asked.why_not if fits and fits.asked else ()
    near: Sequence[datetime] = (
        [offer.fit.arrives_at for offer in fits.offers] if fits and why_not else ()
    )
    return {
        "arrives_at": arrives_at,
        "promised_at": promised_at,
        "shut": shut,
        "why_not": (shut,) if shut else why_not,
        "said": fits.said if fits and not shut else (),
        "near": near or (days_near_visit(arrives_at, now=now) if shut else ()),
    }
