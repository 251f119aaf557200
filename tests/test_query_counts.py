"""A page asks the store once for what it needs once, however many rows it shows."""

from __future__ import annotations

from collections.abc import Iterable
from uuid import uuid4

import pytest
from django.db import connection, models
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from jobs.coverage.catalogue import panels
from jobs.models import (
    AddedWork,
    Booking,
    Customer,
    Defect,
    Film,
    Mark,
    OffCut,
    OrderBatch,
    OrderPanel,
    OrderPrepUse,
    Paper,
    Payment,
    Roll,
    Supply,
    WorkOrder,
    WorkOrderEvent,
)
from mixing.models import (
    Chemical,
    Dispenser,
    FlashPoint,
    Recipe,
    StockContainer,
    StorageSpot,
    Vessel,
)
from shopapp.models import Bay, Person, Place
from tests.furnished import Furnished
from tests.shop_fixtures import _furnished_copy, furnished_base, shop  # noqa: F401

ONCE = (
    *("mixing:dispensers", "mixing:bench_settings", "jobs:film_new", "jobs:floor"),
    *("jobs:booking_new", "jobs:safety", "jobs:handovers", "jobs:my_work"),
)
OF_ORDERS = {
    "panels": "workorder",
    "order_readings": "workorder",
    "payments": "workorder",
    "marks": "workorder",
    "solutions": "workorder",
    "defects": "workorder",
    "added_work": "workorder",
    "final_looks": "workorder",
}
LISTS = [
    (
        WorkOrder,
        OF_ORDERS,
        (
            *("floor", "wall", "my_work", "handovers", "calls", "bookings", "safety"),
            *("plan", "plan_week"),
        ),
    ),
    (
        Booking,
        {"panels": "booking", "added_work": "booking"},
        (
            *("bookings", "arrivals", "floor", "my_work", "safety", "safety_register"),
            *("plan", "plan_week"),
        ),
    ),
    (Customer, {"vehicles": "customer"}, ("customers",)),
    (Film, {"rolls": "film", "offcuts": "film"}, ("film", "pull_day", "booking_new")),
    (Roll, {}, ("film", "film_list", "pull_day")),
    (OffCut, {}, ("film",)),
    (Vessel, {"fills": "vessel"}, ("mixing:bench", "mixing:vessels", "safety")),
    (Dispenser, {}, ("mixing:dispensers", "mixing:bench_settings")),
    (StockContainer, {}, ("mixing:stock", "safety", "safety_register")),
    (Chemical, {}, ("mixing:chemicals", "mixing:stock", "safety_register")),
    (StorageSpot, {}, ("mixing:stock", "safety")),
    (Recipe, {"versions": "recipe"}, ("mixing:recipes", "mixing:flash_points")),
    (FlashPoint, {}, ("mixing:flash_points", "safety")),
    (Bay, {}, ("mixing:bays", "floor", "wall", "safety", "plan", "plan_week")),
    (Supply, {}, ("supplies", "calls")),
    (Place, {}, ("shopapp:places", "floor", "arrivals")),
    (Person, {}, ("shopapp:people", "my_work", "plan", "plan_week", "people_away")),
]
"""Rows, what comes with each, and the pages that list them."""
OF_AN_ORDER = [
    (OrderPanel, ("panels", "detail", "film", "mixing", "safety")),
    (Defect, ("panels", "detail")),
    (Mark, ("checks", "detail")),
    (AddedWork, ("checks", "detail")),
    (OrderBatch, ("mixing", "safety", "heat")),
    (OrderPrepUse, ("safety", "heat")),
    (Paper, ("papers",)),
    (Payment, ("detail",)),
    (WorkOrderEvent, ("history",)),
]


def _of_its_own(row: models.Model) -> dict[str, object]:
    """What two rows of an order may not share."""
    if isinstance(row, OrderBatch):
        return {"batch": copied(row.batch)}
    if isinstance(row, Paper):
        return {"number": uuid4().hex[:12]}
    if isinstance(row, OrderPanel):
        taken = row.workorder.panels.values_list("panel", flat=True)
        return {"panel": next(code for code in panels() if code not in set(taken))}
    return {}


def address(name: str) -> str:
    """Of a page without a subject."""
    return reverse(name if ":" in name else f"jobs:{name}")


def queries_of(client: Client, url: str) -> list[str]:
    """The statements of one page."""
    with CaptureQueriesContext(connection) as asked:
        assert client.get(url).status_code == 200
    return [query["sql"] for query in asked.captured_queries]


def copied(row: models.Model, **changed: object) -> models.Model:
    """The same row once more, under keys of its own."""
    copy = type(row)(
        **{
            field.attname: getattr(row, field.attname)
            for field in row._meta.concrete_fields
            if not field.primary_key
        }
    )
    for field in row._meta.concrete_fields:
        if field.unique and not field.primary_key and not field.is_relation:
            setattr(copy, field.attname, uuid4().hex[: field.max_length or 12])
        elif field.unique and field.is_relation:
            setattr(copy, field.attname, None)
    for name, value in changed.items():
        setattr(copy, name, value)
    models.Model.save_base(copy, force_insert=True)
    return copy


def tripled(rows: Iterable[models.Model], also: dict[str, str]) -> None:
    """Two more of each row, each with its own rows."""
    for row in list(rows):
        for _ in range(2):
            copy = copied(row, **_of_its_own(row))
            for relation, back in also.items():
                for below in getattr(row, relation).all():
                    copied(below, **{back: copy})


@pytest.fixture
def client(shop: Furnished) -> Client:  # noqa: F811
    client = Client()
    client.force_login(shop.mara)
    return client


@pytest.mark.parametrize("name", ONCE)
def test_the_shops_row_is_read_once_a_page(client, name):
    asked = queries_of(client, address(name))
    assert len([sql for sql in asked if 'FROM "shopapp_shop"' in sql]) == 1


def test_ten_more_dispensers_cost_no_query(client):
    url = reverse("mixing:dispensers")
    few = len(queries_of(client, url))
    for number in range(10):
        copied(Dispenser.objects.first(), name=f"syringe {number}")
    assert len(queries_of(client, url)) == few


@pytest.mark.parametrize(
    ("model", "also", "pages"), LISTS, ids=[row[0].__name__ for row in LISTS]
)
def test_three_times_the_rows_cost_no_query(client, model, also, pages):
    urls = [address(name) for name in pages]
    few = {url: len(queries_of(client, url)) for url in urls}
    rows = model.objects.filter(state="booked") if model is Booking else model.objects
    tripled(rows.all()[:20], also)
    assert {url: len(queries_of(client, url)) for url in urls} == few


@pytest.mark.parametrize(
    ("model", "pages"), OF_AN_ORDER, ids=[row[0].__name__ for row in OF_AN_ORDER]
)
def test_three_times_the_rows_of_an_order_cost_no_query(client, model, pages):
    order = model.objects.exclude(workorder=None).latest("pk").workorder
    urls = [reverse(f"jobs:workorder_{name}", args=[order.pk]) for name in pages]
    few = {url: len(queries_of(client, url)) for url in urls}
    tripled(model.objects.filter(workorder=order), {})
    assert {url: len(queries_of(client, url)) for url in urls} == few
