"""How the shop calls a car that has no plate, on every page that names it."""

from __future__ import annotations

import pytest
from django.urls import reverse

from jobs.customers.known_queries import twins_of_car
from jobs.models import Vehicle
from tests.makers import make_customer, make_vehicle
from tests.shop_fixtures import _furnished_copy, furnished_base, shop  # noqa: F401

VIN = "1M8GDM9AXKP042788"


@pytest.mark.parametrize(
    ("known", "short", "beside"),
    [
        ({"plate": "SDW 2207", "stock_number": "N-4711"}, "SDW 2207", "SDW 2207"),
        ({"plate": "", "stock_number": "N-4711"}, "N-4711", "N-4711"),
        ({"plate": ""}, "dark green Saloon 042788", "dark green 042788"),
        ({"plate": "", "colour": ""}, "Saloon 042788", "042788"),
        ({"plate": "", "colour": "", "vin": ""}, "Saloon", ""),
    ],
)
def test_a_car_is_called_by_plate_else_stock_number_else_colour_model_and_vin(
    known, short, beside
):
    car = Vehicle(**{"model": "Saloon", "colour": "dark green", "vin": VIN, **known})
    assert (car.short_name, car.known_by) == (short, beside)


@pytest.fixture
def nameless(shop):
    """An order of the shop whose car has lost its plate."""
    order = shop.prep
    car = order.vehicle
    car.plate, car.colour, car.model, car.vin = "", "teal", "Nimbus", VIN
    car.save()
    return order


PAGES = [
    *("workorder_detail", "workorder_film", "workorder_mixing", "workorder_checks"),
    *("workorder_papers", "workorder_history", "workorder_safety", "handover_detail"),
    *("additions",),
]


@pytest.mark.parametrize("name", PAGES)
def test_every_page_of_its_order_says_colour_and_the_end_of_its_vin(
    shop, client, nameless, name
):
    client.force_login(shop.people["manager"])
    page = client.get(reverse(f"jobs:{name}", args=[nameless.pk])).content.decode()
    assert "teal" in page
    assert "042788" in page


@pytest.mark.parametrize("name", ["floor", "wall", "search"])
def test_lists_call_it_by_colour_model_and_the_end_of_its_vin(
    shop, client, nameless, name
):
    client.force_login(shop.people["manager"])
    page = client.get(reverse(f"jobs:{name}"), {"q": "Nimbus"}).content.decode()
    assert "teal Nimbus 042788" in page or "teal 042788" in page


def test_its_stock_number_is_found_typed_and_shown(shop, client):
    car = make_vehicle(make_customer("Dealer"), plate="", vin="", stock_number="N-4711")
    client.force_login(shop.people["desk"])
    found = client.get(reverse("jobs:search"), {"q": "n4711"}).content.decode()
    assert "N-4711" in found
    page = client.get(reverse("jobs:vehicle_detail", args=[car.pk])).content.decode()
    assert 'name="stock_number" value="N-4711"' in page


def test_two_cars_of_one_customer_with_one_stock_number_are_twins(db):
    dealer, other = make_customer("Dealer"), make_customer("Other", phone="555-0111")
    one, two, _ = (
        make_vehicle(whose, plate="", vin="", stock_number="N-4711")
        for whose in (dealer, dealer, other)
    )
    assert twins_of_car(one) == [two]


def test_the_customers_page_says_it_too(shop, client, nameless):
    link = shop.links["prep"]
    page = client.get(reverse("jobs:customer_page", args=[link.token]))
    assert "teal 042788" in page.content.decode()
