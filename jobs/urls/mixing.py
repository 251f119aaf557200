"""Mixing for an order, below its address; trouble with what was laid."""

from __future__ import annotations

from functools import partial

from django.urls import URLPattern, path

from jobs.findings.pages import workorder_trouble
from jobs.solutions.actions import (
    make_sheet,
    print_sheet,
    record_mix,
    skip_solution,
    take_batch,
)
from jobs.solutions.forms import TakeForm, WaterAnswerForm
from jobs.solutions.pages import (
    choose_form,
    steps_url,
    top_up_form,
    workorder_mix,
    workorder_mix_scan,
    workorder_mixing,
)
from jobs.solutions.pouring_actions import pour_from
from jobs.solutions.step_pages import (
    next_mix_url,
    pour_from_form,
    record_form,
    same_step_url,
    workorder_mix_steps,
)
from jobs.solutions.topping_up_actions import top_up
from jobs.workorders.row_pages import (
    container_for_order,
    order,
    shop_by_order,
    solution_of_order,
)
from mixing.shelf.actions import keep_water_test, open_container
from shopapp.buttons import button
from shopapp.rows import page_of_made

KIND = "mixing/<slug:kind>"
STEPS = f"{KIND}/<int:version>"
act = partial(button, page=workorder_mixing, on=order)
choose = partial(button, page=workorder_mix, on=solution_of_order)
pour = partial(button, page=workorder_mix_steps, on=solution_of_order)

urlpatterns: list[URLPattern] = [
    path("trouble/", workorder_trouble, name="workorder_trouble"),
    # the sheet
    path("mixing/", workorder_mixing, name="workorder_mixing"),
    path("mixing/plan/", act(make_sheet), name="workorder_mix_plan"),
    path("mixing/take/", act(take_batch, form=TakeForm), name="workorder_mix_take"),
    path(
        "mixing/print/",
        act(print_sheet, then=page_of_made("jobs:paper_detail")),
        name="workorder_mix_print",
    ),
    path(
        "mixing/water/",
        act(keep_water_test, on=shop_by_order, form=WaterAnswerForm),
        name="workorder_mix_water",
    ),
    path("mixing/top-up/", act(top_up, form=top_up_form), name="workorder_mix_top_up"),
    # one solution
    path(f"{KIND}/", workorder_mix, name="workorder_mix"),
    path(f"{KIND}/scan/", workorder_mix_scan, name="workorder_mix_scan"),
    path(
        f"{KIND}/start/",
        choose(make_sheet, form=choose_form, then=steps_url),
        name="workorder_mix_start",
    ),
    path(
        f"{KIND}/skip/",
        act(skip_solution, on=solution_of_order),
        name="workorder_mix_skip",
    ),
    path(
        f"{KIND}/open/<str:code>/",
        choose(open_container, on=container_for_order),
        name="workorder_mix_open",
    ),
    # its pours
    path(f"{STEPS}/", workorder_mix_steps, name="workorder_mix_steps"),
    path(
        f"{STEPS}/record/",
        pour(record_mix, form=record_form, then=next_mix_url),
        name="workorder_mix_record",
    ),
    path(
        f"{STEPS}/from/",
        pour(pour_from, form=pour_from_form, then=same_step_url),
        name="workorder_mix_from",
    ),
]
