"""Checklists, marks, paint, agreement and added work of one order."""

from __future__ import annotations

from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from jobs.checks.forms import (
    AgreeForm,
    AnswerForm,
    MarkForm,
    PaintForm,
    SignForm,
)
from jobs.checks.queries import ItemLine, OrderList, order_lists
from jobs.condition.agreement_actions import agree_walk_round
from jobs.condition.agreement_queries import as_agreed, drop_off_of, later_yes_of
from jobs.condition.queries import mark_lines, not_agreed, paint_lines
from jobs.models import WorkOrder
from jobs.workorders.queries import order_head, ways_on
from shopapp.access import allow
from shopapp.htmx import page_or_fragment
from shopapp.pressing import Bound, form_for, press


@require_GET
@allow("checklist.view")
def workorder_checks(
    request: HttpRequest, pk: int, *, bound: Bound | None = None
) -> HttpResponse:
    """The lists of this stage first, then what is known of the paint.

    On a tablet one item alone: the one asked for, or the answer that came back.
    """
    key = request.GET.get("item", "")
    if bound and bound.is_for("checklist_answer"):
        key = "{list_pk}.{item}".format(**bound.subject)
    if key and getattr(request, "htmx", False):
        return _item(request, pk, key, bound)
    rows = order_head().prefetch_related("marks")
    order = get_object_or_404(rows, pk=pk)
    lists = order_lists(order)
    for each in lists:
        _add_forms(each, bound)
    context = {
        "order": order,
        "tab": "checks",
        "bound": bound,
        "lists": [each for each in lists if each.is_current],
        "earlier": [each for each in lists if not each.is_current],
        "work": order.added_work.select_related("done_by"),
        "ways": ways_on(order, now=timezone.now()),
        **_paint(order, bound),
        "mark_form": form_for(lambda: MarkForm(workorder=order), bound, "mark_add"),
    }
    return page_or_fragment(
        request,
        "jobs/checks/workorder_checks.html",
        "jobs/checks/_workorder_checks.html",
        context,
    )


def _paint(order: WorkOrder, bound: Bound | None) -> dict[str, Any]:
    marks = mark_lines(order)
    return {
        "marks": marks,
        "agreed": drop_off_of(order),
        "later_yes": later_yes_of(order),
        "not_agreed": len(not_agreed(order)),
        "unapproved": [mark for mark in marks if mark.waits_for_approval],
        "paint": [
            (line, _paint_form(bound, line.panel)) for line in paint_lines(order)
        ],
    }


def _paint_form(bound: Bound | None, panel: str) -> PaintForm:
    return form_for(PaintForm, bound, "paint_read", panel=panel)


def _add_forms(order_list: OrderList, bound: Bound | None) -> None:
    for line in order_list.lines:
        line.form = _answer_form(order_list, line, bound)


def _answer_form(
    order_list: OrderList, line: ItemLine, bound: Bound | None
) -> AnswerForm:
    def fresh() -> AnswerForm:
        known = line.answer
        initial = {"number": known.number, "text": known.text} if known else {}
        return AnswerForm(item=line.item, initial=initial)

    return form_for(
        fresh,
        bound,
        "checklist_answer",
        list_pk=order_list.row.pk,
        item=line.item.code,
    )


def _item(request: HttpRequest, pk: int, key: str, bound: Bound | None) -> HttpResponse:
    """One item by "list.code", with the counts that it changes."""
    order = get_object_or_404(order_head(), pk=pk)
    for each in order_lists(order):
        for line in each.lines:
            if f"{each.row.pk}.{line.item.code}" == key:
                line.form = _answer_form(each, line, bound)
                context = {
                    "order": order,
                    "tab": "checks",
                    "list": each,
                    "line": line,
                    "bound": bound,
                    "ways": ways_on(order, now=timezone.now()),
                    "alone": True,
                }
                return render(request, "jobs/checks/_check_item.html", context)
    raise Http404


def answer_form(request: HttpRequest, pk: int, list_pk: int, item: str) -> AnswerForm:
    """What was answered, as this item asks for it."""
    line = _line_of(get_object_or_404(order_head(), pk=pk), list_pk, item)
    return AnswerForm(request.POST, request.FILES, item=line.item)


def to_item(pk: int, list_pk: int, item: str) -> str:
    """The page at this item; on a tablet only that line comes back."""
    page = reverse("jobs:workorder_checks", args=[pk])
    return f"{page}?item={list_pk}.{item}#check-{list_pk}-{item}"


def _line_of(order: WorkOrder, list_pk: int, item: str) -> ItemLine:
    for each in order_lists(order):
        for line in each.lines:
            if each.row.pk == list_pk and line.item.code == item:
                return line
    raise Http404


def mark_form(request: HttpRequest, pk: int) -> MarkForm:
    """A mark on a panel that this car has."""
    order = get_object_or_404(order_head(), pk=pk)
    return MarkForm(request.POST, request.FILES, workorder=order)


@require_GET
@allow("workorder.agree")
def workorder_sign(
    request: HttpRequest, pk: int, *, bound: Bound | None = None
) -> HttpResponse:
    """What the customer signs for, and the field to sign in."""
    order = get_object_or_404(order_head(), pk=pk)
    agreed = drop_off_of(order)
    context = {
        "order": order,
        "bound": bound,
        "agree": as_agreed(order, agreed),
        "agreed": agreed,
        "form": form_for(SignForm, bound, "workorder_agree"),
    }
    return render(request, "jobs/checks/workorder_sign.html", context)


@require_POST
@allow("workorder.agree")
def workorder_agree(request: HttpRequest, pk: int) -> HttpResponse:
    """The customer agrees to the walk-round."""
    get_object_or_404(order_head(), pk=pk)
    signed = "strokes" in request.POST
    return press(
        request,
        agree_walk_round,
        form=(SignForm if signed else AgreeForm)(request.POST),
        page=workorder_sign if signed else workorder_checks,
        then=reverse("jobs:workorder_checks", args=[pk]),
        workorder_pk=pk,
    )
