"""Customers to be called: the promise is doubted, has passed, or will not hold."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from django.db.models import Exists, F, OuterRef, Q
from django.utils import timezone

from jobs.bookings.queries import with_heads
from jobs.handover.queries import is_ready
from jobs.models import Booking, PromiseCheck, WorkOrder
from jobs.opening.queries import opening_of
from jobs.plan.promise import promise_after
from jobs.promises.queries import Outlook, booking_outlook, clock, planned
from jobs.stages.table import CLOSED
from jobs.workorders.queries import order_head
from shopapp.models import the_shop


@dataclass(frozen=True, kw_only=True)
class ToCall:
    """A customer to be called: doubted, past, or late by the plan."""

    order: WorkOrder
    check: PromiseCheck | None
    outlook: Outlook | None

    @property
    def can_promise(self) -> datetime | None:
        """Where the plan is late, the hour that can be promised instead."""
        return _can_promise(self.outlook)


@dataclass(frozen=True, kw_only=True)
class ToCallBefore:
    """A customer to be called before the car comes: it will be late by the plan."""

    booking: Booking
    outlook: Outlook

    @property
    def can_promise(self) -> datetime | None:
        """The hour that can be promised instead."""
        return _can_promise(self.outlook)


def to_call(*, now: datetime) -> list[ToCall]:
    """Who is to be called: doubted first, then by promise."""
    waiting = PromiseCheck.objects.filter(settled_at=None)
    orders = (
        order_head()
        .exclude(stage=CLOSED.value)
        .filter(
            Q(promised_at__lt=now)
            | Q(promised_at__lt=F("booking__forecast__ready_at"))
            | Exists(waiting.filter(workorder=OuterRef("pk")))
        )
        .prefetch_related("final_looks")
        .order_by("promised_at", "pk")
    )
    checks = {check.workorder_id: check for check in waiting.select_related("said_by")}
    found = [
        ToCall(order=order, check=checks.get(order.pk), outlook=planned(order, now=now))
        for order in orders
        if order.pk in checks or not is_ready(order, now=now)
    ]
    return sorted(found, key=lambda call: call.check is None)


def to_call_before(*, now: datetime) -> list[ToCallBefore]:
    """Cars not here yet that will be late by the plan, by arrival."""
    late = with_heads().filter(
        state=Booking.State.BOOKED, promised_at__lt=F("forecast__ready_at")
    )
    at = clock(now=now)
    known = (
        (row, booking_outlook(row, clock=at))
        for row in late.order_by("arrives_at", "pk")
    )
    return [
        ToCallBefore(booking=row, outlook=outlook) for row, outlook in known if outlook
    ]


def _can_promise(outlook: Outlook | None) -> datetime | None:
    if outlook is None or outlook.ready_at is None or outlook.is_well:
        return None
    ready_at = timezone.localtime(outlook.ready_at, the_shop().zone)
    return promise_after(ready_at, opening=opening_of())
