"""Customers' secret addresses: made, hashed, spelled, and looked up again."""

from __future__ import annotations

import base64
import hashlib
from collections.abc import Mapping
from datetime import datetime, timedelta
from typing import Any
from urllib.parse import urlsplit

from django.conf import settings
from django.db.models import Q, QuerySet
from django.urls import reverse
from django.utils import timezone
from django.utils.crypto import salted_hmac

from jobs.estimates.queries import standing_booking
from jobs.models import (
    Booking,
    Customer,
    CustomerEstimate,
    CustomerLink,
    WorkOrder,
    WorkOrderEvent,
)
from shopapp.models import HistoryEntry

Linked = WorkOrder | Booking | CustomerEstimate
"""What a link is made for."""
TOKEN_BYTES = 16
NOTED_EACH = timedelta(minutes=10)
MOST_PRESSES, EACH = 20, timedelta(hours=1)


def token_of(*, key: str) -> str:
    """A token of 128 bits for one press of the button.

    Made from the press's own random key under the shop's secret, so that the same
    press sent twice shows the same address; another press gives another.
    """
    made = salted_hmac("jobs.links", key, algorithm="sha256").digest()[:TOKEN_BYTES]
    return base64.urlsafe_b64encode(made).decode().rstrip("=")


def hash_of(token: str) -> str:
    """What is kept of a token. It has 128 bits of its own, so no salt is needed."""
    return hashlib.sha256(token.encode()).hexdigest()


def address_of(token: str) -> str:
    """The whole address, as the customer gets it."""
    page = reverse("jobs:customer_page", args=[token])
    return str(settings.PUBLIC_URL).rstrip("/") + page


def is_reachable() -> bool:
    """Whether a customer's phone can open the addresses that this shop makes."""
    host = urlsplit(str(settings.PUBLIC_URL)).hostname or ""
    return host not in {"localhost", "127.0.0.1", "::1", ""}


def link_of(token: str, *, now: datetime) -> CustomerLink | None:
    """The link of a token while it is good; looked up by hash, so not by guessing."""
    return (
        CustomerLink.objects.select_related(
            *("workorder__vehicle", "workorder__film", "workorder__customer"),
            *("booking__vehicle", "booking__film", "booking__customer"),
            *("estimate__customer", "estimate__booking__customer"),
            *("estimate__booking__vehicle", "estimate__booking__film"),
        )
        .filter(token_hash=hash_of(token), revoked_at=None, expires_at__gt=now)
        .first()
    )


def order_of(link: CustomerLink) -> WorkOrder | None:
    """The order that a link shows; None while its car is only booked."""
    booking = booking_of(link)
    if link.workorder or booking is None:
        return link.workorder
    return booking.workorder if booking.state == Booking.State.ARRIVED else None


def booking_of(link: CustomerLink) -> Booking | None:
    """The booking that a link shows: its own, or what was booked from its estimate."""
    return link.booking or (standing_booking(link.estimate) if link.estimate else None)


def links_of(row: Linked) -> QuerySet[CustomerLink]:
    """The links that show this row: an order also by those of its booking."""
    links = CustomerLink.objects.all()
    if isinstance(row, CustomerEstimate):
        return links.filter(estimate=row)
    if isinstance(row, Booking):
        return links.filter(Q(booking=row) | Q(estimate__booking=row))
    mine = Q(workorder=row)
    if row.booking_id:
        mine |= Q(booking=row.booking_id) | Q(estimate__booking=row.booking_id)
    return links.filter(mine)


def customer_of(link: CustomerLink) -> Customer:
    """Whose link it is."""
    row = link.workorder or link.booking or link.estimate
    assert row is not None
    return row.customer


def is_by_link(scope: Mapping[str, Any]) -> bool:
    """True for a request under a customer's good address (an ASGI scope)."""
    place, _, rest = str(scope["path"]).removeprefix("/").partition("/")
    token = rest.partition("/")[0]
    return place == "c" and link_of(token, now=timezone.now()) is not None


def pressed_too_often(order: WorkOrder, *, now: datetime) -> bool:
    """Whether more came by the customer's links lately than a person presses."""
    since = now - EACH
    lately = WorkOrderEvent.objects.filter(
        workorder=order, via=HistoryEntry.Via.LINK, received_at__gt=since
    )
    return lately.count() >= MOST_PRESSES


def note_opened(link: CustomerLink, *, now: datetime) -> None:
    """Keep when it was last looked at; reading on within minutes is one look."""
    before = Q(opened_at=None) | Q(opened_at__lt=now - NOTED_EACH)
    CustomerLink.objects.filter(before, pk=link.pk).update(opened_at=now)
