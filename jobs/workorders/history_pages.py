"""The history of an order."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.views.decorators.http import require_GET

from jobs.workorders.history_queries import history_of
from jobs.workorders.queries import order_head
from shopapp.access import allow
from shopapp.htmx import page_or_fragment


@require_GET
@allow("workorder.view")
def workorder_history(request: HttpRequest, pk: int) -> HttpResponse:
    """Who did what, when it was done, when it arrived here."""
    order = get_object_or_404(order_head(), pk=pk)
    context = {
        "order": order,
        "tab": "history",
        "lines": history_of(order),
        "overrides": order.overrides.select_related("by"),
    }
    return page_or_fragment(
        request,
        "jobs/workorders/workorder_history.html",
        "jobs/workorders/_workorder_history.html",
        context,
    )
