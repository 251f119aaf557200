"""Beginning a return visit, its part of an order's page, what came back in all."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET

from jobs.models import WorkOrder
from jobs.returns.comeback_queries import DAYS, comebacks_of
from jobs.returns.forms import FaultForm, PayerForm, ReturnForm, SettleForm
from jobs.returns.queries import (
    came_back,
    faults_of,
    first_order,
    laid_film,
    open_visit,
    reports_about,
    visit_of,
    why_not_again,
)
from jobs.returns.rules import DONE, Done
from jobs.workorders.queries import order_head
from shopapp.access import allow
from shopapp.frame import Answer
from shopapp.pressing import Bound, form_for

Facts = dict[str, Any]


@require_GET
@allow("return.begin")
def return_new(
    request: HttpRequest, pk: int, *, bound: Bound | None = None
) -> HttpResponse:
    """What came back, and whether the car is here or comes on a day."""
    pressed = get_object_or_404(_closed(), pk=pk)
    order = first_order(pressed)
    waits = open_visit(order)

    def form() -> ReturnForm:
        known = {"note": _words_of(pressed), "paid_by": ""}
        return ReturnForm(order=pressed, initial=known)

    context = {
        "order": pressed,
        "first": order,
        "bound": bound,
        "waits": waits,
        "why_not": why_not_again(waits) if waits else None,
        "reports": reports_about(order).prefetch_related("photos"),
        "films": laid_film(order),
        "form": form_for(form, bound, "return_begin"),
    }
    return render(request, "jobs/returns/return_new.html", context)


def _closed() -> Any:
    return order_head().select_related("return_of__vehicle")


def _words_of(order: WorkOrder) -> str:
    """What the newest recheck wrote down, where it found something."""
    found = order.rechecks.order_by("pk").last()
    is_wrong = found and found.outcome in (found.Outcome.REDO, found.Outcome.WATCH)
    return found.note[:160] if found and is_wrong else ""


def return_form(request: HttpRequest, pk: int) -> ReturnForm:
    """A return visit as it was typed."""
    order = get_object_or_404(_closed(), pk=pk)
    return ReturnForm(request.POST, request.FILES, order=order)


def fault_form(request: HttpRequest, pk: int) -> FaultForm:
    """One more thing, as it was typed."""
    order = get_object_or_404(_closed(), pk=pk)
    return FaultForm(request.POST, request.FILES, order=order, but=order)


def begun(answer: Answer) -> str:
    """The order of the car that is here, else the booking of one that comes."""
    if answer["pk"]:
        return reverse("jobs:workorder_detail", args=[answer["pk"]])
    return reverse("jobs:booking_detail", args=[answer["booking_pk"]])


def defect_of_return(pk: int, defect_pk: int) -> Facts:
    """A thing that this order's car came back for."""
    order = get_object_or_404(WorkOrder, pk=pk)
    visit = visit_of(order)
    if visit is None or not visit.defects.filter(pk=defect_pk).exists():
        raise Http404
    return {"workorder_pk": pk, "defect_pk": defect_pk}


def return_shown(order: WorkOrder, bound: Bound | None) -> Facts:
    """What an order's own page shows: why it came back, or what came back of it."""
    visit = visit_of(order) if order.return_of_id else None
    if visit is None:
        return {"came_back": came_back(order) if order.is_closed else ()}
    return {
        "visit": visit,
        "faults": [
            (
                each,
                form_for(SettleForm, bound, "return_settle", defect_pk=each.defect.pk),
            )
            for each in faults_of(visit)
        ],
        "visit_reports": visit.reports.prefetch_related("photos"),
        "done": list(DONE.items()),
        "put_right": Done.TOUCHED_UP,
        "fault_form": form_for(_one_more(order), bound, "return_fault"),
        "payer_form": form_for(
            lambda: PayerForm(
                initial={"paid_by": visit.paid_by, "asked": visit.asked or None}
            ),
            bound,
            "return_payer",
        ),
    }


def _one_more(order: WorkOrder) -> Callable[[], FaultForm]:
    return lambda: FaultForm(order=order, but=order)


@require_GET
@allow("comeback.view")
def comebacks(request: HttpRequest) -> HttpResponse:
    """How much of the film came back: by hands, film and panel."""
    context = {"tables": comebacks_of(now=timezone.now()), "days": DAYS}
    return render(request, "jobs/returns/comebacks.html", context)
