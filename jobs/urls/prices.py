"""What the shop asks for its work, and the tax."""

from __future__ import annotations

from django.urls import URLPattern, path

from jobs.prices.actions import change_tax, set_prices
from jobs.prices.forms import PricesForm, TaxForm
from jobs.prices.pages import prices
from shopapp.buttons import button
from shopapp.say import say

urlpatterns: list[URLPattern] = [
    path("", prices, name="prices"),
    path(
        "change/",
        button(
            set_prices,
            page=prices,
            form=PricesForm,
            told=say("The price list is kept."),
        ),
        name="prices_change",
    ),
    path(
        "tax/change/",
        button(
            change_tax,
            page=prices,
            form=TaxForm,
            told=say("The tax is kept, for what is agreed from now on."),
        ),
        name="tax_change",
    ),
]
