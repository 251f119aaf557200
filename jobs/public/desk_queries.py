"""What customers said on their pages and the desk has not answered yet."""

from __future__ import annotations

from dataclasses import dataclass

from jobs.condition.agreement_queries import ShownMark, marks_to_ask
from jobs.models import CustomerReport, WorkOrder
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
