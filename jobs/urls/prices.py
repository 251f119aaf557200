"""What the shop asks for its work, and the tax."""

from __future__ import annotations

from django.urls import URLPattern, path

from jobs.prices.actions import change_tax, fill_prices, raise_prices, set_prices
from jobs.prices.forms import FillForm, PricesForm, RaiseForm, TaxForm
from jobs.prices.pages import prices, prices_history
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
    path("history/", prices_history, name="prices_history"),
    path(
        "raise/",
        button(
            raise_prices,
            page=prices,
            form=RaiseForm,
            told=say("All prices are changed. What is booked keeps its price."),
        ),
        name="prices_raise",
    ),
    path(
        "fill/",
        button(
            fill_prices,
            page=prices,
            form=FillForm,
            told=say("The list is filled. What is booked keeps its price."),
        ),
        name="prices_fill",
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
