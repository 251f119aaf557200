"""Who and which car is known is found while typing, and taken over by a press."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.utils import timezone

from jobs.customers.known_queries import known_of
from jobs.customers.phones import digits_of, phone_problem
from jobs.models import Booking, Customer, Vehicle
from tests.jobs.bookings.fits import in_days, typed
from tests.makers import make_booking, make_customer, make_vehicle

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize("word", ["robin", "555 0101", "tst101", "042788", "hc5521"])
def test_a_customer_is_found_while_typing_in_any_spelling(desk_client, film, word):
    make_booking(vehicle=make_vehicle(), film=film, order_number="HC-5521")
    page = desk_client.post("/bookings/known/", {"name": word}).content.decode()
    assert "Robin Ash" in page
    assert f'value="car:{Vehicle.objects.get().pk}"' in page


def test_taking_a_car_over_fills_the_form_and_keeps_what_was_typed(desk_client, film):
    car = make_vehicle()
    sent = typed(film, name="Rob", notes="two keys", take=f"car:{car.pk}")
    page = desk_client.post("/bookings/look/", sent).content.decode()
    assert f'name="vehicle_pk" value="{car.pk}"' in page
    assert f'name="customer_pk" value="{car.customer_id}"' in page
    assert 'value="1M8GDM9AXKP042788"' in page
    assert "two keys" in page


@pytest.mark.parametrize("take", ["car:999999", "car:x", "moon:1", ":", "car:-1"])
def test_taking_over_what_is_not_there_leaves_what_was_typed(desk_client, film, take):
    page = desk_client.post("/bookings/look/", typed(film, take=take, name="Kim Vale"))
    assert page.status_code == 200
    assert 'value="Kim Vale"' in page.content.decode()


def book(client, film, **more):
    sent = {"key": more.pop("key", "k" * 16), **typed(film), **more}
    sent |= {"arrives_at": "2031-05-07T09:00", "promised_at": "2031-05-09T16:00"}
    return client.post("/bookings/make/", sent)


def test_the_same_name_and_phone_in_another_spelling_is_the_same_customer(
    desk_client, film
):
    make_customer("Robin Ash", phone="555-0101")
    answer = book(desk_client, film, name="ROBIN ASH", phone="(555) 0101", plate="N 1")
    assert answer.status_code == 303
    assert Customer.objects.count() == 1


def test_a_known_phone_under_another_name_is_asked_about(desk_client, film):
    make_customer("Robin Ash", phone="555-0101")
    sent = {"name": "Kim Vale", "phone": "5550101", "plate": "N 1"}
    asked = book(desk_client, film, **sent)
    assert asked.status_code == 422
    page = asked.content.decode()
    assert "Robin Ash has this number already." in page
    assert "Take this customer" in page
    assert book(desk_client, film, apart="on", **sent).status_code == 303
    assert Customer.objects.count() == 2


def test_two_cars_of_one_plate_are_asked_about(desk_client, film):
    make_vehicle(vin="")
    sent = {"name": "Kim Vale", "phone": "555-0104", "plate": "tst-101"}
    asked = book(desk_client, film, **sent)
    assert asked.status_code == 422
    assert "has this plate already." in asked.content.decode()
    assert not Booking.objects.exists()
    assert book(desk_client, film, apart="on", **sent).status_code == 303
    assert Vehicle.objects.count() == 2


def test_a_known_car_typed_again_is_the_same_car_and_keeps_what_it_had(
    desk_client, film
):
    car = make_vehicle(vin="", colour="dark green")
    sent = {"name": car.customer.name, "phone": car.customer.phone}
    assert book(desk_client, film, plate="tst101", **sent).status_code == 303
    car.refresh_from_db()
    assert Vehicle.objects.count() == 1
    assert car.colour == "dark green"


def test_what_is_wrong_is_named_above_the_form_with_a_way_to_it(desk_client, film):
    page = book(desk_client, film, phone="call me", model="").content.decode()
    top = page.split('aria-label="What is wrong"')[1].split("</nav>")[0]
    assert '<a href="#id_phone">Phone</a>' in top
    assert '<a href="#id_model">Model</a>' in top
    assert "“call me” has letters. Write the number in digits." in top


def test_film_work_on_a_closed_day_is_refused(desk_client, film):
    # A new shop is open from Monday to Friday.
    saturday = in_days(7)
    saturday += timedelta(days=5 - saturday.weekday())
    sent = typed(
        film,
        arrives_at=f"{in_days(1):%Y-%m-%dT%H:%M}",
        promised_at=f"{in_days(30):%Y-%m-%dT%H:%M}",
        film_day=f"{saturday:%Y-%m-%d}",
    )
    page = desk_client.post("/bookings/make/", sent).content.decode()
    assert "The shop is closed on Saturday" in page
    assert not Booking.objects.exists()


def test_panels_are_folded_while_they_are_as_usual(desk_client, film):
    page = desk_client.get("/bookings/new/").content.decode()
    assert "8 panels, as usual" in page
    changed = typed(film, package_shown="full_front", panel_hood="on", seam_hood="seam")
    told = desk_client.post("/bookings/look/", changed).content.decode()
    panels = told.split('id="booking-panels"')[1]
    assert "1 panel" in panels
    assert "as usual" not in panels.split("</summary>")[0]
    assert '<details class="more" open>' in panels.split("</summary>")[0]


@pytest.mark.parametrize(
    ("text", "is_right"),
    [
        ("", True),
        ("+1 (555) 010-0101", True),
        ("555-0101 ext 12", True),
        ("555-0101 x12", True),
        ("call Kim", False),
        ("---", False),
    ],
)
def test_a_phone_is_digits_and_what_stands_between_them(text, is_right):
    assert (phone_problem(text) is None) is is_right


def test_a_country_in_front_is_the_same_phone():
    assert digits_of("+1 555 555 0101") == digits_of("555-0101") == "5550101"
    assert digits_of("1234") == ""


def test_nothing_typed_finds_nobody():
    make_vehicle()
    known = known_of({})
    assert (known.found, known.phones, known.cars) == ((), (), ())


def test_a_car_that_is_booked_already_is_said_with_the_way_there(desk_client, film):
    booking = make_booking(film=film, at=timezone.now())
    sent = {"plate": booking.vehicle.plate.lower().replace(" ", "")}
    page = desk_client.post("/bookings/known/", sent).content.decode()
    assert "is booked already: it comes" in page
    assert f'href="/bookings/{booking.pk}/"' in page


def test_a_plate_typed_in_another_spelling_leaves_the_known_one(desk_client, film):
    car = make_vehicle(plate="TST 101")
    sent = typed(film, name=car.customer.name, phone=car.customer.phone)
    sent |= {"plate": "tst101", "arrives_at": in_days(3).strftime("%Y-%m-%dT%H:%M")}
    sent |= {"promised_at": in_days(9).strftime("%Y-%m-%dT%H:%M"), "price": "1800"}
    assert desk_client.post("/bookings/make/", sent).status_code == 303
    assert Vehicle.objects.get().plate == "TST 101"


def test_who_is_asked_about_stands_there_once_with_each_car(desk_client):
    car = make_vehicle(plate="TST 101")
    known = known_of({"name": car.customer.name, "phone": car.customer.phone})
    assert known.phones == (car.customer,)
    assert known.found == ()
    sent = {"phone": car.customer.phone}
    page = desk_client.post("/bookings/known/", sent).content.decode()
    assert f'value="car:{car.pk}"' in page
    assert f'value="customer:{car.customer_id}"' in page


def test_after_a_refusal_the_page_begins_with_what_is_wrong(desk_client, film):
    sent = typed(film, name="", offered="2031-05-07T09:00||2031-05-09T16:00")
    page = desk_client.post("/bookings/make/", sent).content.decode()
    assert "autofocus" not in page
