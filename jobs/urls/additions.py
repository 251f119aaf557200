"""Work on top of what was booked, below an order's address."""

from __future__ import annotations

from functools import partial

from django.urls import URLPattern, path

from jobs.additions.actions import (
    add_work,
    answer_addition,
    offer_addition,
    take_back_addition,
)
from jobs.additions.forms import AnswerForm, FreeWorkForm
from jobs.additions.pages import (
    addition_of_order,
    addition_sign,
    additions,
    edge_form,
    panel_form,
    work_form,
)
from jobs.checks.forms import SignedForm
from jobs.models import Addition, WorkOrder
from jobs.workorders.row_pages import order
from shopapp.buttons import button
from shopapp.say import say

act = partial(button, page=additions, on=order)
OFFERED = say("Offered. Nothing is added before the yes.")
offer = partial(act, offer_addition, told=OFFERED)
PANEL, EDGE, WORK = (kind.value for kind in Addition.What)

urlpatterns: list[URLPattern] = [
    path("additions/", additions, name="additions"),
    path("additions/panel/", offer(form=panel_form, what=PANEL), name="addition_panel"),
    path("additions/edge/", offer(form=edge_form, what=EDGE), name="addition_edge"),
    path("additions/work/", offer(form=work_form, what=WORK), name="addition_work"),
    path("added-work/add/", act(add_work, form=FreeWorkForm), name="addedwork_add"),
    path(
        "additions/<int:addition_pk>/answer/",
        act(answer_addition, on=addition_of_order, form=AnswerForm),
        name="addition_answer",
    ),
    path(
        "additions/<int:addition_pk>/take-back/",
        act(take_back_addition, on=addition_of_order),
        name="addition_take_back",
    ),
    path(
        "additions/<int:addition_pk>/sign/",
        addition_sign,
        name="addition_sign",
    ),
    path(
        "additions/<int:addition_pk>/signed/",
        button(
            answer_addition,
            page=addition_sign,
            on=addition_of_order,
            form=SignedForm,
            says="yes",
            how=WorkOrder.Agreed.SIGNATURE.value,
        ),
        name="addition_signed",
    ),
]
