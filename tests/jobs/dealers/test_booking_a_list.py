"""Many cars of one customer, booked in one press."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from django.utils import timezone

from jobs.models import Booking, Film, Vehicle
from shopapp.models import Price, the_shop
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
LIST = (
    "N-1;Example;Saloon;black;1M8GDM9AXKP042788\nN-2;Example;Saloon;red\nN-3;Example\n"
)


@pytest.fixture
def dealer(client):
    client.force_login(make_person("desk", "installer", username="ben"))
    make_roll(make_film(), left_mm=500_000)
    make_bay()
    Price.objects.create(code="package/full_front/D", amount=Decimal(1990), label="x")
    return make_customer("Hilltop Cars", is_account=True)


def monday():
    day = timezone.localdate() + timedelta(days=7)
    return day - timedelta(days=day.weekday())


def typed(cars=LIST, **more):
    film = Film.objects.get()
    known = {"first": "stock_number", "package": "full_front", "film": film.pk}
    known |= {"method": "hand_fitted", "size_class": "D", "body": "sedan"}
    known |= {"first_on": monday().isoformat(), "a_day": "1"}
    return {"cars": cars, "key": "k" * 16, **known, **more}


def look(client, dealer, **more):
    return client.post(reverse("jobs:car_list_look", args=[dealer.pk]), typed(**more))


def book(client, dealer, looked, **more):
    sent = typed(**more) | {"looked": looked}
    return client.post(reverse("jobs:car_list_book", args=[dealer.pk]), sent)


def looked_at(client, dealer, **more):
    return look(client, dealer, **more).context["form"].data["looked"]


def test_the_list_is_looked_over_before_anything_is_written(client, dealer):
    page = look(client, dealer)
    assert page.status_code == 200
    text = page.content.decode()
    assert "N-1" in text
    assert "The model is missing." in text
    assert "Book these 2 cars" in text
    assert "3,980.00" in text
    assert not Booking.objects.exists()
    assert not Vehicle.objects.exists()


def test_film_that_does_not_reach_for_all_of_them_is_said(client, dealer):
    assert "order some" not in look(client, dealer).content.decode()
    Film.objects.get().rolls.update(left_mm=6_000)
    assert "order some" in look(client, dealer).content.decode()


def test_all_good_rows_are_booked_in_one_press_and_the_others_are_told(client, dealer):
    answer = book(
        client,
        dealer,
        looked_at(client, dealer, order_number="P-77"),
        order_number="P-77",
    )
    assert answer.status_code == 303
    page = client.get(answer.url).content.decode()
    assert "2 cars are booked. Left out: N-3; Example" in page
    one, two = Booking.objects.order_by("arrives_at")
    assert [one.vehicle.stock_number, two.vehicle.stock_number] == ["N-1", "N-2"]
    assert {one.order_number, two.order_number} == {"P-77"}
    assert [one.price, two.price] == [Decimal(1990)] * 2
    assert timezone.localtime(one.arrives_at).date() == monday()
    assert timezone.localtime(two.arrives_at).date() == monday() + timedelta(days=1)
    assert one.promised_at > one.arrives_at
    assert one.panels.count() > 0


def test_a_double_tap_books_once(client, dealer):
    looked = looked_at(client, dealer)
    urls = {book(client, dealer, looked).url for _ in range(2)}
    assert len(urls) == 1
    assert Booking.objects.count() == 2


def test_a_list_that_was_changed_after_the_look_is_looked_over_again(client, dealer):
    looked = looked_at(client, dealer)
    answer = book(client, dealer, looked, cars="N-9;Example;Saloon")
    assert answer.status_code == 422
    assert "Look the list over as it is now" in answer.content.decode()
    assert "N-9" in answer.content.decode()
    assert not Booking.objects.exists()


@pytest.mark.parametrize(
    "looked", ["", "[]", "{", '{"of":1}', '{"days":{"1":["x","y"]}}']
)
def test_what_was_not_looked_over_is_not_booked(client, dealer, looked):
    assert book(client, dealer, looked).status_code == 422
    assert not Booking.objects.exists()


def test_a_car_that_was_booked_meanwhile_stops_all_of_them(client, dealer):
    looked = looked_at(client, dealer)
    book(client, dealer, looked)
    again = typed() | {"looked": looked, "key": "m" * 16}
    answer = client.post(reverse("jobs:car_list_book", args=[dealer.pk]), again)
    assert answer.status_code == 422
    assert "Row 1, N-1: nothing was booked." in answer.content.decode()
    assert Booking.objects.count() == 2


def test_a_known_car_of_somebody_else_and_one_booked_already_are_left_out(
    client, dealer
):
    make_vehicle(make_customer(), plate="", vin="1M8GDM9AXKP042788")
    text = look(client, dealer).content.decode()
    assert "It is known as a car of Robin Ash." in text
    assert "Book this car" in text


def test_short_film_asks_for_one_reason_and_the_list_stays(client, dealer):
    shop = the_shop()
    shop.rule_levels = {"film_reserved": "reason"}
    shop.save()
    Film.objects.get().rolls.update(left_mm=2000)
    looked = looked_at(client, dealer)
    refused = book(client, dealer, looked)
    assert refused.status_code == 422
    text = refused.content.decode()
    assert "Row 1, N-1: nothing was booked." in text
    assert "Why they are booked although the film is short" in text
    assert "N-2;Example;Saloon;red" in text
    assert not Booking.objects.exists()
    given = book(client, dealer, looked, film_reason="a roll comes", key="m" * 16)
    assert given.status_code == 303


def test_a_file_in_another_encoding_becomes_the_list_in_the_field(client, dealer):
    cars = "N-1;Example;Señal;plátano".encode("cp1252")
    sent = typed(cars="") | {"file": SimpleUploadedFile("cars.csv", cars)}
    page = client.post(reverse("jobs:car_list_look", args=[dealer.pk]), sent)
    assert "Señal, plátano" in page.content.decode()
    looked = page.context["form"].data
    answer = book(
        client, dealer, looked["looked"], cars=looked["cars"].replace("\n", "\r\n")
    )
    assert answer.status_code == 303


def test_a_spreadsheet_is_said_to_be_none(client, dealer):
    sent = typed(cars="") | {"file": SimpleUploadedFile("cars.csv", b"PK\x03\x04zip")}
    page = client.post(reverse("jobs:car_list_look", args=[dealer.pk]), sent)
    assert "This is a spreadsheet" in page.content.decode()


def test_too_many_rows_and_none_are_said(client, dealer):
    many = "\n".join(f"N-{n};Example;Saloon" for n in range(61))
    assert "At most 60 cars at once" in look(client, dealer, cars=many).content.decode()
    assert "Paste the list" in look(client, dealer, cars=" \n").content.decode()


def test_a_plate_in_the_column_of_stock_numbers_is_the_same_car(client, dealer):
    own = make_vehicle(dealer, plate="DLR 246", vin="")
    now = timezone.now()
    times = {
        "arrives_at": now + timedelta(days=5),
        "promised_at": now + timedelta(days=6),
    }
    make_booking(vehicle=own, **times)
    page = look(client, dealer, cars="DLR 246;Example;Saloon").content.decode()
    assert "It is booked already" in page
