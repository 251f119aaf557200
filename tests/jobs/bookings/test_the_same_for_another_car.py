"""The same for another car: a booking copied onto the next one."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal

import pytest
from django.utils import timezone

from jobs.bookings.like_forms import like_initial
from jobs.customers.car_names import next_number
from jobs.models import Booking
from jobs.money.discount_actions import give_discount
from shopapp.models import Price
from tests.jobs.taps import do
from tests.makers import (
    make_bay,
    make_booking,
    make_customer,
    make_film,
    make_person,
    make_roll,
    make_vehicle,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def desk():
    return make_person("desk", "installer", username="ben")


@pytest.fixture
def booking(desk):
    make_roll(make_film())
    make_bay()
    Price.objects.create(code="package/full_front/D", amount=Decimal(1990), label="x")
    dealer = make_customer("Hilltop Cars", is_account=True)
    car = make_vehicle(dealer, plate="", stock_number="N-0099", year=2025)
    at = timezone.now() + timedelta(days=7)
    return make_booking(desk, vehicle=car, at=at, order_number="P-77")


@pytest.mark.parametrize(
    ("number", "after"),
    [("N-0099", "N-0100"), ("4711", "4712"), ("9", "10"), ("A7B", ""), ("", "")],
)
def test_the_next_stock_number_is_as_long(number, after):
    assert next_number(number) == after


def test_customer_work_and_order_number_are_copied_and_not_what_is_one_cars_own(
    booking,
):
    initial = like_initial(booking, now=timezone.now())
    assert initial["customer_pk"] == booking.customer_id
    assert initial["stock_number"] == "N-0100"
    assert initial["order_number"] == "P-77"
    assert (initial["make"], initial["model"]) == ("Example", "Saloon")
    assert initial["package"] == booking.package
    assert not {"plate", "vin", "vehicle_pk", "deposit"} & initial.keys()


def test_it_comes_the_same_day_or_the_next_that_has_room(booking):
    initial = like_initial(booking, now=timezone.now())
    assert initial["arrives_at"].date() >= timezone.localtime(booking.arrives_at).date()
    assert initial["promised_at"] > initial["arrives_at"]


def test_a_price_of_its_own_is_copied_before_discounts_and_the_lists_is_not(
    booking, desk
):
    booking.price = Decimal(1500)
    booking.save()
    facts = {"because": "a regular", "amount": Decimal(100)}
    do(desk, give_discount, booking_pk=booking.pk, **facts)
    booking.refresh_from_db()
    assert booking.price == Decimal(1400)
    assert like_initial(booking, now=timezone.now())["price"] == Decimal(1500)
    booking.price = Decimal(1890)
    assert like_initial(booking, now=timezone.now())["price"] is None


def test_one_press_from_the_booking_and_one_field_book_the_next_car(
    client, desk, booking
):
    client.force_login(desk)
    page = client.get(f"/bookings/{booking.pk}/").content.decode()
    assert f"/bookings/new/?like={booking.pk}" in page
    form = client.get("/bookings/new/", {"like": booking.pk}).context["form"]
    sent = {name: form[name].value() for name in form.fields}
    sent = {name: value for name, value in sent.items() if value not in (None, False)}
    for name in ("arrives_at", "promised_at"):
        sent[name] = f"{sent[name]:%Y-%m-%dT%H:%M}"
    sent |= {"key": "k" * 16, "film": booking.film_id, "colour": "red"}
    answer = client.post("/bookings/make/", sent)
    assert answer.status_code == 303, answer.context["form"].errors
    made = Booking.objects.latest("pk")
    assert made.vehicle.short_name == "N-0100"
    assert made.customer == booking.customer
    assert made.order_number == "P-77"
