"""What runs low."""

from __future__ import annotations

from functools import partial

from django.urls import URLPattern, path

from jobs.models import Supply
from jobs.supplies.actions import add_supply, order_supply, say_low, supply_here
from jobs.supplies.forms import SupplyForm
from jobs.supplies.pages import supplies
from shopapp.buttons import button
from shopapp.rows import by_pk

on_list = partial(button, page=supplies)
of_one = partial(on_list, on=by_pk(Supply, "supply_pk"))

urlpatterns: list[URLPattern] = [
    path("", supplies, name="supplies"),
    path("add/", on_list(add_supply, form=SupplyForm), name="supply_add"),
    path("<int:pk>/low/", of_one(say_low), name="supply_low"),
    path("<int:pk>/order/", of_one(order_supply), name="supply_order"),
    path("<int:pk>/here/", of_one(supply_here), name="supply_here"),
]
