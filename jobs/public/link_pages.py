"""Making a customer's link: its address is shown this once."""

from __future__ import annotations

from dataclasses import dataclass
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
from shopapp.access import View, allow
from shopapp.pressing import press


@dataclass(frozen=True, kw_only=True)
class Owner:
    """What a link or a text is for.

    page  the page that the button stands on
    back  its address
    fact  the row as the action takes it
    """

    row: Linked
    page: View
    back: str
    fact: dict[str, Any]


def of_order(pk: int) -> Owner:
    """An order, on its hand-over page; or 404."""
    row = get_object_or_404(order_head(), pk=pk)
    back = reverse("jobs:handover_detail", args=[pk])
    fact = {"workorder_pk": pk}
    return Owner(row=row, page=handover_detail, back=back, fact=fact)


def of_booking(pk: int) -> Owner:
    """A booking; or 404."""
    row = get_object_or_404(with_heads(), pk=pk)
    back = reverse("jobs:booking_detail", args=[pk])
    fact = {"booking_pk": pk}
    return Owner(row=row, page=booking_detail, back=back, fact=fact)


def of_estimate(pk: int) -> Owner:
    """An estimate; or 404."""
    row = get_object_or_404(CustomerEstimate, pk=pk)
    back = reverse("jobs:estimate_detail", args=[pk])
    fact = {"estimate_pk": pk}
    return Owner(row=row, page=estimate_detail, back=back, fact=fact)


@require_POST
@never_cache
@allow("link.make")
def link_make(request: HttpRequest, pk: int) -> HttpResponse:
    """A secret address to an order, shown this once."""
    return _made(request, of_order(pk))


@require_POST
@never_cache
@allow("link.make")
def booking_link_make(request: HttpRequest, pk: int) -> HttpResponse:
    """A secret address to a booking, and to its order later."""
    return _made(request, of_booking(pk))


@require_POST
@never_cache
@allow("link.make")
def estimate_link_make(request: HttpRequest, pk: int) -> HttpResponse:
    """A secret address to an estimate; with it the estimate counts as sent."""
    return _made(request, of_estimate(pk))


def _made(request: HttpRequest, owner: Owner) -> HttpResponse:
    token = token_of(key=request.POST.get("key", ""))
    answer = press(
        request,
        make_link,
        page=owner.page,
        form=LinkForm(request.POST),
        token_hash=hash_of(token),
        **owner.fact,
    )
    if answer.status_code != 303:
        return answer
    context = {
        "row": owner.row,
        "address": address_of(token),
        "is_reachable": is_reachable(),
        "back": owner.back,
    }
    return render(request, "jobs/public/link_made.html", context)
