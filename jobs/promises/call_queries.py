"""Customers to be called: the promise is doubted, or has passed."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from django.db.models import Exists, OuterRef, Q

from jobs.handover.queries import is_ready
from jobs.models import PromiseCheck, WorkOrder
from jobs.stages.table import CLOSED
from jobs.workorders.queries import order_head


@dataclass(frozen=True, kw_only=True)
class ToCall:
    """A customer to be called: the promise is doubted, or has passed."""

    order: WorkOrder
    check: PromiseCheck | None


def to_call(*, now: datetime) -> list[ToCall]:
    """Who is to be called: doubted first, then those whose promise has passed."""
    waiting = PromiseCheck.objects.filter(settled_at=None)
    orders = (
        order_head()
        .exclude(stage=CLOSED.value)
        .filter(
            Q(promised_at__lt=now) | Exists(waiting.filter(workorder=OuterRef("pk")))
        )
        .prefetch_related("final_looks")
        .order_by("promised_at", "pk")
    )
    checks = {check.workorder_id: check for check in waiting.select_related("said_by")}
    found = [
        ToCall(order=order, check=checks.get(order.pk))
        for order in orders
        if order.pk in checks or not is_ready(order, now=now)
    ]
    return sorted(found, key=lambda call: call.check is None)
