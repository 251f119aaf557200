"""A manager may set any rule to any level; no page of an order is lost by it."""

from __future__ import annotations

from itertools import product

from django.test import Client

from jobs.models import WorkOrder
from jobs.rules.table import Level, Rule
from shopapp.models import Shop
from tests.addresses import ROUTES
from tests.furnished import Furnished
from tests.shop_fixtures import _furnished_copy, furnished_base, shop  # noqa: F401

PAGES = [
    route
    for route in ROUTES
    if route.path.startswith("workorders/<int:pk>/")
    and route.arguments == ["pk"]
    and route.methods == {"GET"}
]
LEVELS = [Level.REASON.value, Level.ADVICE.value]


def one_of_each_stage() -> list[WorkOrder]:
    """An order in every stage, the one with most still open."""
    known = {order.stage: order for order in WorkOrder.objects.order_by("-pk")}
    return list(known.values())


def test_every_page_of_every_stage_opens_at_every_level_of_every_rule(
    shop: Furnished,  # noqa: F811
):
    client = Client(raise_request_exception=False)
    client.force_login(shop.mara)
    failed = []
    orders = one_of_each_stage()
    assert len(orders) >= 5
    for level, route in product(LEVELS, PAGES):
        Shop.objects.update(rule_levels={rule.value: level for rule in Rule})
        for order in orders:
            url = route.address({"pk": order.pk})
            if client.get(url).status_code >= 500:
                failed.append(f"{level} {url}")
    assert failed == []
