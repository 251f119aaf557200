"""Rechecks that are coming, due or over."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db.models import F, QuerySet

from jobs.handover.recheck import WAITS, WINDOW, RecheckState, recheck_state
from jobs.models import Recheck, WorkOrder
from jobs.opening.queries import said_closed
from jobs.stages.table import CLOSED
from jobs.workorders.queries import order_head
from shopapp.say import Say

AHEAD = timedelta(days=14)


@dataclass(frozen=True, kw_only=True)
class RecheckNow:
    """The recheck of an order that was handed over.

    found   what was written of this recheck; None while nothing is
    before  what earlier rechecks found
    """

    at: datetime
    state: RecheckState
    found: Recheck | None
    before: list[Recheck]

    @property
    def closed_then(self) -> Say | None:
        """What is said of a recheck to come that lies on a closed day."""
        is_coming = self.is_open and self.state is RecheckState.COMING
        return said_closed("recheck", self.at) if is_coming else None

    @property
    def is_open(self) -> bool:
        """Whether an outcome is still to be written; a late one is kept too."""
        return self.found is None


def recheck_of(order: WorkOrder, *, now: datetime) -> RecheckNow | None:
    """Where the recheck of an order stands, or None where there is none."""
    if not order.is_closed or order.recheck_at is None:
        return None
    rows = list(order.rechecks.select_related("by"))
    found = next((row for row in rows if row.due_at == order.recheck_at), None)
    return RecheckNow(
        at=order.recheck_at,
        state=recheck_state(recheck_at=order.recheck_at, now=now),
        found=found,
        before=[row for row in rows if row is not found],
    )


def open_rechecks(*, now: datetime) -> QuerySet[WorkOrder]:
    """Cars that left and come back soon, or are waited for."""
    return (
        order_head()
        .filter(stage=CLOSED.value, returns__isnull=True)
        .filter(recheck_at__gt=now - WINDOW - WAITS, recheck_at__lt=now + AHEAD)
        .exclude(rechecks__due_at=F("recheck_at"))
        .order_by("recheck_at", "pk")
    )
