"""Which marks wait for the customer: only those found later that ask consent."""

from __future__ import annotations

from jobs.condition.marks import asks_consent
from jobs.models import Mark, WorkOrder


def is_waiting(order: WorkOrder, mark: Mark) -> bool:
    """Whether the job waits for the customer's yes to this mark.

    Only what was found after the customer agreed, or after the wash, and only where
    film over such a mark asks consent.
    """
    later = mark.when == Mark.When.AFTER_WASH or bool(order.walk_round_agreed)
    return later and mark.approved_at is None and asks_consent(mark.kind)


def not_agreed(order: WorkOrder) -> list[Mark]:
    """Marks added to what was agreed since, whether or not they are asked about."""
    if not order.walk_round_agreed:
        return []
    return [
        mark
        for mark in order.marks.all()
        if mark.approved_at is None
        and (mark.when == Mark.When.INTAKE or asks_consent(mark.kind))
    ]
