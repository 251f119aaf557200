"""The rows that an address names, as facts of the action; 404 where there is none."""

from __future__ import annotations

from typing import Any

from django.shortcuts import get_object_or_404

from jobs.models import OrderChecklist, OrderPanel, Payment, WorkOrder

Facts = dict[str, Any]


def order(pk: int) -> Facts:
    """A work order."""
    get_object_or_404(WorkOrder, pk=pk)
    return {"workorder_pk": pk}


def panel_of_order(pk: int, panel_pk: int) -> Facts:
    """A panel of this order, by its code."""
    row = get_object_or_404(OrderPanel, pk=panel_pk, workorder=pk)
    return {"workorder_pk": pk, "panel": row.panel}


def list_of_order(pk: int, list_pk: int) -> Facts:
    """A checklist of this order."""
    get_object_or_404(OrderChecklist, pk=list_pk, workorder=pk)
    return {"workorder_pk": pk, "order_checklist_pk": list_pk}


def payment_of_order(pk: int, payment_pk: int) -> Facts:
    """A payment of this order."""
    get_object_or_404(Payment, pk=payment_pk, workorder=pk)
    return {"workorder_pk": pk, "payment_pk": payment_pk}
