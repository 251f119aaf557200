"""Making a customer's link: its address is shown this once."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST

from jobs.bookings.pages import booking_detail
from jobs.bookings.queries import with_heads
from jobs.estimates.pages import estimate_detail
from jobs.handover.pages import handover_detail
from jobs.models import CustomerEstimate
from jobs.public.forms import LinkForm
from jobs.public.link_actions import make_link
from jobs.public.link_queries import (
    Linked,
    address_of,
    hash_of,
    is_reachable,
    token_of,
)
from jobs.workorders.queries import order_head
from shopapp.access import allow
from shopapp.pressing import press


@require_POST
@never_cache
@allow("link.make")
def link_make(request: HttpRequest, pk: int) -> HttpResponse:
    """A secret address to an order; only its hash is kept."""
    order = get_object_or_404(order_head(), pk=pk)
    back = reverse("jobs:handover_detail", args=[pk])
    return _made(request, order, handover_detail, back=back, workorder_pk=pk)


@require_POST
@never_cache
@allow("link.make")
def booking_link_make(request: HttpRequest, pk: int) -> HttpResponse:
    """A secret address to a booking, and to its order later."""
    booking = get_object_or_404(with_heads(), pk=pk)
    back = reverse("jobs:booking_detail", args=[pk])
    return _made(request, booking, booking_detail, back=back, booking_pk=pk)


@require_POST
@never_cache
@allow("link.make")
def estimate_link_make(request: HttpRequest, pk: int) -> HttpResponse:
    """A secret address to an estimate; with it the estimate counts as sent."""
    row = get_object_or_404(CustomerEstimate, pk=pk)
    back = reverse("jobs:estimate_detail", args=[pk])
    return _made(request, row, estimate_detail, back=back, estimate_pk=pk)


def _made(
    request: HttpRequest,
    row: Linked,
    page: Any,
    *,
    back: str,
    **facts: Any,
) -> HttpResponse:
    token = token_of(key=request.POST.get("key", ""))
    form = LinkForm(request.POST)
    answer = press(
        request, make_link, page=page, form=form, token_hash=hash_of(token), **facts
    )
    if answer.status_code != 303:
        return answer
    context = {
        "row": row,
        "address": address_of(token),
        "is_reachable": is_reachable(),
        "back": back,
    }
    return render(request, "jobs/public/link_made.html", context)
