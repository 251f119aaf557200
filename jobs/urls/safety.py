"""Safety of the shop and of an order: stock, prep chemicals, hot tools."""

from __future__ import annotations

from functools import partial

from django.urls import URLPattern, path

from jobs.air.forms import PrepUseForm, RegisterForm
from jobs.air.pages import (
    heat_url,
    safety,
    safety_register,
    workorder_heat,
    workorder_safety,
)
from jobs.air.prep_actions import check_heat, undo_prep, use_more_wipe, use_prep
from jobs.papers.actions import issue_register
from jobs.workorders.row_pages import order
from shopapp.buttons import button
from shopapp.rows import page_of_made

ORDER = "workorders/<int:pk>"
PREP = f"{ORDER}/prep"
act = partial(button, page=workorder_safety, on=order)

urlpatterns: list[URLPattern] = [
    path("safety/", safety, name="safety"),
    path("safety/register/", safety_register, name="safety_register"),
    path(
        "safety/register/issue/",
        button(
            issue_register,
            page=safety_register,
            form=RegisterForm,
            then=page_of_made("jobs:paper_detail"),
        ),
        name="register_issue",
    ),
    path(f"{ORDER}/safety/", workorder_safety, name="workorder_safety"),
    path(f"{PREP}/use/", act(use_prep, form=PrepUseForm), name="prep_use"),
    path(f"{PREP}/none/", act(use_prep), name="prep_none"),
    path(f"{PREP}/no-remover/", act(use_prep, no_remover=True), name="prep_no_remover"),
    path(f"{PREP}/more/", act(use_more_wipe), name="prep_more"),
    path(f"{PREP}/<int:use_pk>/undo/", act(undo_prep), name="prep_undo"),
    path(f"{ORDER}/heat/", workorder_heat, name="workorder_heat"),
    path(f"{ORDER}/heat/check/", act(check_heat, then=heat_url), name="heat_check"),
]
