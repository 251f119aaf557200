"""A car that came back, below its order's address."""

from __future__ import annotations

from functools import partial

from django.urls import URLPattern, path

from jobs.returns.actions import add_fault, begin_return
from jobs.returns.forms import PayerForm, SettleForm
from jobs.returns.pages import (
    begun,
    defect_of_return,
    fault_form,
    return_form,
    return_new,
)
from jobs.returns.settle_actions import set_payer, settle_fault
from jobs.workorders.pages import workorder_detail
from jobs.workorders.row_pages import order
from shopapp.buttons import button
from shopapp.say import say

act = partial(button, page=workorder_detail, on=order)

urlpatterns: list[URLPattern] = [
    path("return/", return_new, name="return_new"),
    path(
        "return/begin/",
        button(begin_return, page=return_new, on=order, form=return_form, then=begun),
        name="return_begin",
    ),
    path("return/fault/", act(add_fault, form=fault_form), name="return_fault"),
    path(
        "return/<int:defect_pk>/settle/",
        act(settle_fault, on=defect_of_return, form=SettleForm),
        name="return_settle",
    ),
    path(
        "return/payer/",
        act(set_payer, form=PayerForm, told=say("Kept: who pays.")),
        name="return_payer",
    ),
]
