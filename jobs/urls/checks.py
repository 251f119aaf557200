"""What is checked and agreed, below an order's address: lists, marks, paint, work."""

from __future__ import annotations

from functools import partial

from django.urls import URLPattern, path

from jobs.checks.actions import add_mark, answer_item, finish_work
from jobs.checks.forms import AgreeForm, PaintForm
from jobs.checks.pages import (
    answer_form,
    mark_form,
    to_item,
    workorder_agree,
    workorder_checks,
    workorder_sign,
)
from jobs.condition.agreement_actions import approve_marks
from jobs.condition.reading_actions import read_paint
from jobs.workorders.row_pages import list_of_order, order
from shopapp.buttons import button

act = partial(button, page=workorder_checks, on=order)

urlpatterns: list[URLPattern] = [
    path("checks/", workorder_checks, name="workorder_checks"),
    path(
        "checks/<int:list_pk>/<slug:item>/answer/",
        act(answer_item, on=list_of_order, form=answer_form, then=to_item),
        name="checklist_answer",
    ),
    path("marks/add/", act(add_mark, form=mark_form), name="mark_add"),
    path("marks/approve/", act(approve_marks, form=AgreeForm), name="marks_approve"),
    path("sign/", workorder_sign, name="workorder_sign"),
    path("agree/", workorder_agree, name="workorder_agree"),
    path(
        "paint/<slug:panel>/read/", act(read_paint, form=PaintForm), name="paint_read"
    ),
    path("added-work/<int:work_pk>/done/", act(finish_work), name="addedwork_done"),
]
