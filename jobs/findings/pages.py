"""Trouble at a panel: what is seen, and where the order's record points."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.views.decorators.http import require_GET

from jobs.coverage.catalogue import Body, panel_name
from jobs.findings.queries import panel_in_question, trouble_now
from jobs.findings.trace import defect_kinds
from jobs.workorders.queries import order_head
from shopapp.access import allow
from shopapp.htmx import page_or_fragment


@require_GET
@allow("workorder.view")
def workorder_trouble(request: HttpRequest, pk: int) -> HttpResponse:
    """Pick what is seen; the record is laid beside the usual causes."""
    order = get_object_or_404(order_head(), pk=pk)
    kind = request.GET.get("kind", "")
    panel = panel_in_question(order, request.GET.get("panel", ""))
    body = Body(order.vehicle.body)
    kinds = sorted(defect_kinds().values(), key=lambda each: not each.solutions_first)
    context: dict[str, Any] = {
        "order": order,
        "tab": "mixing",
        "kinds": kinds,
        "kind": kind,
        "panel": panel,
        "panels": [
            (row, panel_name(row.panel, body=body))
            for row in order.panels.all()
            if row.struck_off_at is None
        ],
        "trouble": (
            trouble_now(order, panel, kind=kind)
            if panel and kind in defect_kinds()
            else None
        ),
    }
    return page_or_fragment(
        request,
        "jobs/findings/workorder_trouble.html",
        "jobs/findings/_workorder_trouble.html",
        context,
    )
