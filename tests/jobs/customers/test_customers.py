"""Customers and their cars."""

from __future__ import annotations

import pytest

from jobs.customers.forms import CustomerForm
from jobs.models import Customer, Vehicle
from shopapp.settings_forms import ShopForm
from tests.makers import make_customer, make_vehicle

pytestmark = pytest.mark.django_db
KEY = "k" * 16


@pytest.fixture
def desk_client(client, desk):
    client.force_login(desk)
    return client


@pytest.mark.parametrize(
    "words", ["ash", "555-0101", "tst 101", "042788", "robin saloon"]
)
def test_a_customer_is_found_by_name_phone_plate_vin_and_words_together(
    desk_client, words
):
    make_vehicle()
    make_vehicle(make_customer("Kim Vale", phone="555-0104"), plate="KVL 9", vin="")
    page = desk_client.get("/customers/", {"q": words}).content.decode()
    assert "Robin Ash" in page
    assert "Kim Vale" not in page


def test_nobody_found_is_said(desk_client):
    page = desk_client.get("/customers/", {"q": "nobody"}).content.decode()
    assert "Nobody found" in page


def test_customers_are_not_for_the_floor(client, installer):
    client.force_login(installer)
    assert client.get("/customers/").status_code == 403


def test_a_customer_is_put_right(desk_client):
    customer = make_customer()
    response = desk_client.post(
        f"/customers/{customer.pk}/change/",
        {"key": KEY, "name": "Robin Ashe", "phone": "555-0199", "is_account": "on"},
    )
    customer.refresh_from_db()
    assert response.status_code == 303
    assert (customer.name, customer.phone) == ("Robin Ashe", "555-0199")
    assert customer.is_account


def test_a_customer_without_a_name_is_refused_and_typing_stays(desk_client):
    customer = make_customer()
    response = desk_client.post(
        f"/customers/{customer.pk}/change/",
        {"key": KEY, "name": "", "phone": "555-0177"},
    )
    assert response.status_code == 422
    assert 'value="555-0177"' in response.content.decode()
    assert Customer.objects.get().name == "Robin Ash"


def vehicle_fields(**more):
    return {"key": KEY, "model": "Saloon", "size_class": "E", "body": "sedan", **more}


def test_a_car_is_put_right(desk_client):
    vehicle = make_vehicle()
    response = desk_client.post(
        f"/vehicles/{vehicle.pk}/change/",
        vehicle_fields(vin="1G4AH59H45G118341", red_line="roof repainted"),
    )
    vehicle.refresh_from_db()
    assert response.status_code == 303
    assert (vehicle.size_class, vehicle.notes) == ("E", "roof repainted")
    # The sample calculation of 49 CFR 565: model year 2005.
    assert vehicle.year == 2005


def test_a_vin_of_wrong_length_is_refused_at_the_field(desk_client):
    vehicle = make_vehicle()
    response = desk_client.post(
        f"/vehicles/{vehicle.pk}/change/", vehicle_fields(vin="SHORT")
    )
    assert response.status_code == 422
    assert "A VIN has 17 characters; this one has 5." in response.content.decode()
    assert Vehicle.objects.get().vin == "1M8GDM9AXKP042788"


def test_a_vin_is_looked_at_while_it_is_typed(desk_client):
    page = desk_client.post("/vehicles/vin/", {"vin": "1G4AH59H45G118341"})
    assert "2005" in page.content.decode()
    odd = desk_client.post("/vehicles/vin/", {"vin": "1M8GDM9AYKP042788"})
    assert "does not fit its check digit" in odd.content.decode()


def test_a_car_that_is_not_there_is_not_found(desk_client):
    assert desk_client.get("/vehicles/999/").status_code == 404
    assert desk_client.post("/vehicles/999/change/", {"key": KEY}).status_code == 404


@pytest.mark.parametrize("make", [CustomerForm, ShopForm])
def test_an_e_mail_longer_than_its_column_is_told_at_the_field(make):
    form = make({"email": f"{'a' * 250}@example.com"})
    assert "at most 254" in str(form["email"].errors)
