"""Customers to be called: the promise is doubted, has passed, or will not hold."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from django.db.models import Exists, F, OuterRef, Q

from jobs.handover.queries import is_ready
from jobs.models import PromiseCheck, WorkOrder
from jobs.promises.queries import Outlook, planned
from jobs.stages.table import CLOSED
from jobs.workorders.queries import order_head


@dataclass(frozen=True, kw_only=True)
class ToCall:
    """A customer to be called: doubted, past, or late by the plan."""

    order: WorkOrder
    check: PromiseCheck | None
    outlook: Outlook | None


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
