"""What customers said on their pages and the desk has not answered yet."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from django.db.models import Q

from jobs.condition.agreement_queries import ShownMark, as_shown, marks_to_ask
from jobs.condition.queries import is_waiting
from jobs.models import CustomerLink, CustomerReport, Mark, WorkOrder
from jobs.stages.table import CLOSED


@dataclass(frozen=True, kw_only=True)
class SaidNo:
    """A customer who said no to film over what was found."""

    order: WorkOrder
    marks: list[ShownMark]


def open_reports() -> list[CustomerReport]:
    """Messages that something looks wrong, the oldest first."""
    return list(
        CustomerReport.objects.filter(settled_at=None)
        .select_related("workorder__vehicle", "workorder__customer")
        .prefetch_related("photos")
    )


def said_no() -> list[SaidNo]:
    """Cars that wait since their customer said no."""
    orders = (
        WorkOrder.objects.exclude(stage=CLOSED.value)
        .filter(marks__declined_at__isnull=False, marks__approved_at=None)
        .select_related("vehicle", "customer")
        .distinct()
    )
    return [
        SaidNo(
            order=order,
            marks=[each for each in marks_to_ask(order) if each.mark.declined_at],
        )
        for order in orders
    ]


@dataclass(frozen=True, kw_only=True)
class WaitsForYes:
    """A car whose customer has not answered about what was found.

    link  by which the customer is asked; None where none is open
    """

    order: WorkOrder
    marks: list[ShownMark]
    link: CustomerLink | None


def wait_for_yes(*, now: datetime) -> list[WaitsForYes]:
    """Cars that wait for an answer about a mark, the longest first."""
    asked: dict[WorkOrder, list[ShownMark]] = {}
    found = (
        Mark.objects.filter(approved_at=None, declined_at=None)
        .exclude(workorder__stage=CLOSED.value)
        .select_related("workorder__vehicle", "workorder__customer")
    )
    for mark in found.order_by("seen_at", "pk"):
        if is_waiting(mark.workorder, mark):
            shown = as_shown(mark.workorder, mark)
            asked.setdefault(mark.workorder, []).append(shown)
    links = _open_links(list(asked), now=now)
    return [
        WaitsForYes(order=order, marks=marks, link=links.get(order.pk))
        for order, marks in asked.items()
    ]


def _open_links(orders: list[WorkOrder], *, now: datetime) -> dict[int, CustomerLink]:
    """An open link of each order, made for it or for its booking."""
    of_these = Q(workorder__in=orders) | Q(booking__workorder__in=orders)
    links = CustomerLink.objects.filter(of_these, revoked_at=None, expires_at__gt=now)
    by_booking = {order.booking_id: order.pk for order in orders}
    return {
        link.workorder_id or by_booking[link.booking_id]: link
        for link in links.order_by("pk")
    }
