"""Opening a shop, a step at a time."""

from __future__ import annotations

from typing import Any

from django.http import Http404
from django.urls import URLPattern, path

from jobs.newshop.actions import (
    DEFAULTS,
    choose_solutions,
    name_shop,
    take_over,
    try_order,
)
from jobs.newshop.forms import NameShopForm, SolutionsForm
from jobs.newshop.pages import (
    open_shop,
    open_step,
    prices_step,
    shop_step,
    solutions_step,
)
from jobs.prices.actions import fill_prices
from jobs.prices.forms import FillForm
from shopapp.buttons import button
from shopapp.rows import page_of_made
from shopapp.say import say


def step_taken(step: str) -> dict[str, Any]:
    """A step that has defaults, or all of them."""
    if step != "all" and step not in list(DEFAULTS):
        raise Http404
    return {"step": step}


urlpatterns: list[URLPattern] = [
    path("", open_shop, name="open_shop"),
    path(
        "name/",
        button(
            name_shop,
            page=shop_step,
            form=NameShopForm,
            then="jobs:open_shop",
            told=say("Kept."),
        ),
        name="open_name",
    ),
    path(
        "solutions-used/",
        button(
            choose_solutions,
            page=solutions_step,
            form=SolutionsForm,
            then="jobs:open_shop",
            told=say("Kept."),
        ),
        name="open_solutions",
    ),
    path(
        "first-prices/",
        button(
            fill_prices,
            page=prices_step,
            form=FillForm,
            then="jobs:open_shop",
            told=say("The list is filled."),
        ),
        name="open_prices",
    ),
    path(
        "take-over/<slug:step>/",
        button(
            take_over,
            page=open_shop,
            on=step_taken,
            told=say("Taken over. Each can be changed where it stands."),
        ),
        name="open_take_over",
    ),
    path(
        "test-order/",
        button(
            try_order,
            page=open_shop,
            then=page_of_made("jobs:paper_detail"),
            told=say("This was a test: nothing of it is kept but its paper."),
        ),
        name="open_try",
    ),
    path("<slug:step>/", open_step, name="open_step"),
]
