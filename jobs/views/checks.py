"""Checklists, marks, paint, agreement and added work of one order."""

from __future__ import annotations

from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from jobs.actions.agreements import agree_walk_round, approve_marks
from jobs.actions.checks import add_mark, add_work, answer_item, finish_work
from jobs.actions.readings import read_paint
from jobs.forms.checks import (
    AddedWorkForm,
    AgreeForm,
    AnswerForm,
    MarkForm,
    PaintForm,
    SignForm,
)
from jobs.models import WorkOrder
from jobs.queries.agreements import as_agreed, drop_off_of, later_yes_of
from jobs.queries.checks import ItemLine, OrderList, order_lists
from jobs.queries.marks_waiting import not_agreed
from jobs.queries.paint import mark_lines, paint_lines
from jobs.queries.workorders import order_head, ways_on
from shopapp.access import allow, may
from shopapp.htmx import page_or_fragment
from shopapp.pressing import Bound, form_for, press


@require_GET
@allow("checklist.view")
def workorder_checks(request: HttpRequest, pk: int) -> HttpResponse:
    """The lists of this stage first, then what is known of the paint."""
    if request.GET.get("item") and getattr(request, "htmx", False):
        return _item(request, pk, request.GET["item"], None)
    return _page(request, pk, None)


def _page(request: HttpRequest, pk: int, bound: Bound | None) -> HttpResponse:
    order = get_object_or_404(order_head(), pk=pk)
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
        **_forms(request, order, bound),
    }
    return page_or_fragment(
        request, "jobs/workorder_checks.html", "jobs/_workorder_checks.html", context
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


def _forms(
    request: HttpRequest, order: WorkOrder, bound: Bound | None
) -> dict[str, Any]:
    return {
        "mark_form": form_for(lambda: MarkForm(workorder=order), bound, "mark_add"),
        "work_form": form_for(
            lambda: AddedWorkForm(with_price=may(request.user, "price.view")),
            bound,
            "addedwork_add",
        ),
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
                return render(request, "jobs/_check_item.html", context)
    raise Http404


@require_POST
@allow("checklist.answer")
def checklist_answer(
    request: HttpRequest, pk: int, list_pk: int, item: str
) -> HttpResponse:
    """Answer one item; on a tablet only that line comes back."""
    line = _line_of(get_object_or_404(order_head(), pk=pk), list_pk, item)
    key = f"{list_pk}.{item}"
    return press(
        request,
        answer_item,
        form=AnswerForm(request.POST, request.FILES, item=line.item),
        page=lambda bound: _item_or_page(request, pk, key, bound),
        then=f"{_url(pk)}?item={key}#check-{list_pk}-{item}",
        workorder_pk=pk,
        order_checklist_pk=list_pk,
        item=item,
    )


def _item_or_page(
    request: HttpRequest, pk: int, key: str, bound: Bound
) -> HttpResponse:
    if getattr(request, "htmx", False):
        return _item(request, pk, key, bound)
    return _page(request, pk, bound)


def _url(pk: int) -> str:
    return reverse("jobs:workorder_checks", args=[pk])


def _line_of(order: WorkOrder, list_pk: int, item: str) -> ItemLine:
    for each in order_lists(order):
        for line in each.lines:
            if each.row.pk == list_pk and line.item.code == item:
                return line
    raise Http404


def _press(
    request: HttpRequest, pk: int, do: Any, *, form: Any = None, **facts: Any
) -> HttpResponse:
    return press(
        request,
        do,
        form=form,
        page=lambda bound: _page(request, pk, bound),
        then=_url(pk),
        workorder_pk=pk,
        **facts,
    )


@require_POST
@allow("mark.add")
def mark_add(request: HttpRequest, pk: int) -> HttpResponse:
    """Write down a mark."""
    order = get_object_or_404(order_head(), pk=pk)
    form = MarkForm(request.POST, request.FILES, workorder=order)
    return _press(request, pk, add_mark, form=form)


@require_GET
@allow("workorder.agree")
def workorder_sign(request: HttpRequest, pk: int) -> HttpResponse:
    """What the customer signs for, and the field to sign in."""
    return _sign(request, pk, None)


def _sign(request: HttpRequest, pk: int, bound: Bound | None) -> HttpResponse:
    order = get_object_or_404(order_head(), pk=pk)
    agreed = drop_off_of(order)
    context = {
        "order": order,
        "bound": bound,
        "agree": as_agreed(order, agreed),
        "agreed": agreed,
        "form": form_for(SignForm, bound, "workorder_agree"),
    }
    return render(request, "jobs/workorder_sign.html", context)


@require_POST
@allow("workorder.agree")
def workorder_agree(request: HttpRequest, pk: int) -> HttpResponse:
    """The customer agrees to the walk-round."""
    get_object_or_404(order_head(), pk=pk)
    signed = "strokes" in request.POST
    form = SignForm(request.POST) if signed else AgreeForm(request.POST)
    return press(
        request,
        agree_walk_round,
        form=form,
        page=lambda bound: (_sign if signed else _page)(request, pk, bound),
        then=_url(pk),
        workorder_pk=pk,
    )


@require_POST
@allow("mark.approve")
def marks_approve(request: HttpRequest, pk: int) -> HttpResponse:
    """The customer approves what the wash brought to light."""
    get_object_or_404(order_head(), pk=pk)
    return _press(request, pk, approve_marks, form=AgreeForm(request.POST))


@require_POST
@allow("paint.read")
def paint_read(request: HttpRequest, pk: int, panel: str) -> HttpResponse:
    """Keep the paint of one panel."""
    get_object_or_404(order_head(), pk=pk)
    form = PaintForm(request.POST)
    return _press(request, pk, read_paint, form=form, panel=panel)


@require_POST
@allow("addedwork.add")
def addedwork_add(request: HttpRequest, pk: int) -> HttpResponse:
    """Add other work on this car."""
    get_object_or_404(order_head(), pk=pk)
    with_price = may(request.user, "price.view")
    form = AddedWorkForm(request.POST, with_price=with_price)
    return _press(request, pk, add_work, form=form)


@require_POST
@allow("addedwork.done")
def addedwork_done(request: HttpRequest, pk: int, work_pk: int) -> HttpResponse:
    """Say that it is done."""
    get_object_or_404(order_head(), pk=pk)
    return _press(request, pk, finish_work, work_pk=work_pk)
