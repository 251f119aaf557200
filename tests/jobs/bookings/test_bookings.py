"""Booking: one page, what it refuses, what it holds and works out."""

from __future__ import annotations

from datetime import UTC, datetime
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from jobs.coverage.catalogue import Package
from jobs.film.need_queries import free_film_mm
from jobs.models import Booking, Customer, FilmReservation, Vehicle
from jobs.prices.queries import package_code
from shopapp.models import Price, Submission, the_shop
from tests.makers import make_booking, make_vehicle

pytestmark = pytest.mark.django_db
KEY = "k" * 16


def typed(film, **more):
    """What the desk types for a new customer and a full front."""
    return {
        "key": KEY,
        "name": "Robin Ash",
        "phone": "555-0101",
        "plate": "tst 101",
        "vin": "1m8gdm9axkp042788",
        "model": "Saloon",
        "size_class": "D",
        "body": "sedan",
        "package": "full_front",
        "package_shown": "",
        "method": "hand_fitted",
        "film": film.pk,
        "arrives_at": "2031-05-07T09:00",
        "promised_at": "2031-05-09T16:00",
        "price": "1800",
        **more,
    }


def test_a_booking_adds_customer_car_panels_and_held_film(desk_client, film):
    response = desk_client.post("/bookings/make/", typed(film))
    booking = Booking.objects.get()
    assert response.status_code == 303
    assert response["Location"] == f"/bookings/{booking.pk}/"
    assert booking.vehicle.vin == "1M8GDM9AXKP042788"
    assert booking.vehicle.plate == "TST 101"
    assert [panel.panel for panel in booking.panels.all()] == [
        "front_bumper",
        "headlight_left",
        "headlight_right",
        "hood",
        "front_fender_left",
        "front_fender_right",
        "mirror_left",
        "mirror_right",
    ]
    assert booking.panels.get(panel="hood").edge == "wrapped"
    assert booking.reservation.length_mm > 1000
    assert desk_client.get(response["Location"]).status_code == 200


def test_times_are_typed_in_the_shops_zone(desk_client, film):
    desk_client.post("/bookings/make/", typed(film))
    # Chicago keeps daylight saving time in May: UTC-5 (tz database).
    assert Booking.objects.get().arrives_at == datetime(2031, 5, 7, 14, tzinfo=UTC)


def test_the_model_year_comes_from_the_vin(desk_client, film):
    # Code K is 1989 or 2019; a digit in position 7 says the first (NHTSA final rule,
    # 73 FR 23367).
    desk_client.post("/bookings/make/", typed(film))
    assert Vehicle.objects.get().year == 1989


def test_the_same_press_twice_books_once(desk_client, film):
    first = desk_client.post("/bookings/make/", typed(film))
    again = desk_client.post("/bookings/make/", typed(film))
    assert first["Location"] == again["Location"]
    assert Booking.objects.count() == Customer.objects.count() == 1


def test_an_installer_does_not_book(client, installer, film):
    client.force_login(installer)
    assert client.post("/bookings/make/", typed(film)).status_code == 403
    assert not Booking.objects.exists()


def test_wrong_vin_characters_are_said_at_the_field_and_typing_stays(desk_client, film):
    response = desk_client.post(
        "/bookings/make/", typed(film, vin="IM8GDM9AXKP042788", notes="two keys")
    )
    page = response.content.decode()
    assert response.status_code == 422
    assert "A VIN never has the letter I: is it a 1 or a 0?" in page
    assert 'value="IM8GDM9AXKP042788"' in page
    assert "two keys" in page
    assert not Customer.objects.exists()


def test_a_vin_that_fails_its_check_digit_is_kept_with_a_reason(desk_client, film):
    # By the tests of vininfo 1.11.0: Y is never a check digit.
    odd = typed(film, vin="1M8GDM9AYKP042788")
    refused = desk_client.post("/bookings/make/", odd)
    assert refused.status_code == 422
    assert "does not fit its check digit" in refused.content.decode()
    kept = desk_client.post(
        "/bookings/make/", {**odd, "vin_reason": "read off the title twice"}
    )
    assert kept.status_code == 303
    assert Vehicle.objects.get().vin_reason == "read off the title twice"


@pytest.mark.parametrize(
    ("field", "value", "sentence"),
    [
        ("price", "-5", "greater than or equal to 0"),
        ("price", "lots", "Enter a number"),
        ("price", "nan", "Enter a number"),
        ("arrives_at", "", "required"),
        ("promised_at", "2031-05-06T16:00", "The promise lies before the arrival."),
        ("deposit", "2000", "The deposit is higher than the price."),
        ("year", "1850", "Enter a year from 1950 to"),
        ("panel_partial_hood", "on", "partial hood lies on hood: choose one"),
    ],
)
def test_bad_input_is_a_sentence_at_its_field(
    desk_client, film, field, value, sentence
):
    response = desk_client.post("/bookings/make/", typed(film, **{field: value}))
    assert response.status_code == 422
    assert sentence in response.content.decode()
    assert not Booking.objects.exists()


def test_another_package_brings_its_panels_and_keeps_what_was_ticked_beside(
    desk_client, film
):
    response = desk_client.post(
        "/bookings/look/",
        typed(
            film,
            package="partial_front",
            package_shown="full_front",
            panel_hood="on",
            panel_roof="on",
        ),
    )
    form = response.context["form"]
    ticked = [row.name for _, rows in form.rows() for row in rows if row.tick.value()]
    assert response.status_code == 200
    assert "partial hood" in ticked
    assert "hood" not in ticked
    assert "roof" in ticked
    assert not Booking.objects.exists()
    assert not Submission.objects.exists()


def test_the_choices_of_a_panel_are_booked(desk_client, film):
    desk_client.post(
        "/bookings/make/",
        typed(
            film,
            method_hood="pre_cut",
            edge_hood="cut_short",
            badge_hood="cut_round",
            seam_hood="relief",
            where_hood="washer jets",
        ),
    )
    hood = Booking.objects.get().panels.get(panel="hood")
    assert (hood.method, hood.edge, hood.badge) == ("pre_cut", "cut_short", "cut_round")
    assert (hood.seam, hood.note) == ("relief", "washer jets")


def test_no_price_typed_takes_the_price_list(desk_client, film):
    film.price_factor = Decimal("1.10")
    film.save()
    Price.objects.create(
        code=package_code(Package.FULL_FRONT, "D"), label="x", amount=Decimal(2000)
    )
    desk_client.post("/bookings/make/", typed(film, price=""))
    assert Booking.objects.get().price == Decimal("2200.00")


def test_added_work_is_kept_and_counts_in_the_price(desk_client, film):
    work = {
        "work_1_name": "old film off",
        "work_1_minutes": "90",
        "work_1_when": "before_prep",
        "work_1_skill": "prep",
        "work_1_price": "150",
    }
    Price.objects.create(
        code=package_code(Package.FULL_FRONT, "D"), label="x", amount=Decimal(2000)
    )
    desk_client.post("/bookings/make/", typed(film, price="", **work))
    booking = Booking.objects.get()
    assert booking.added_work.get().minutes == 90
    assert booking.price == Decimal("2150.00")


def test_a_shortage_of_film_is_said_at_once_and_does_not_stop_a_new_shop(
    desk_client, film
):
    film.rolls.update(left_mm=2000)
    response = desk_client.post("/bookings/look/", typed(film))
    assert "is free; order some." in response.content.decode()
    assert desk_client.post("/bookings/make/", typed(film)).status_code == 303


def test_a_shop_that_asks_for_a_reason_gets_one_for_short_film(desk_client, film):
    shop = the_shop()
    shop.rule_levels = {"film_reserved": "reason"}
    shop.save()
    film.rolls.update(left_mm=2000)
    refused = desk_client.post("/bookings/make/", typed(film))
    assert refused.status_code == 422
    assert "order some" in refused.content.decode()
    given = typed(film, film_reason="ordered this morning")
    assert desk_client.post("/bookings/make/", given).status_code == 303
    assert "ordered this morning" in Booking.objects.get().notes


def test_held_film_is_not_free_for_the_next_and_a_cancelled_booking_frees_it(
    desk_client, film
):
    desk_client.post("/bookings/make/", typed(film))
    booking = Booking.objects.get()
    assert free_film_mm(film) == 15_000 - booking.reservation.length_mm
    assert free_film_mm(film, beside=booking) == 15_000
    desk_client.post(f"/bookings/{booking.pk}/cancel/", {"key": "c" * 16})
    booking.refresh_from_db()
    assert booking.state == "cancelled"
    assert free_film_mm(film) == 15_000
    assert FilmReservation.objects.get().released_at is not None


def test_a_cancelled_booking_is_not_changed(desk_client, film):
    booking = make_booking(film=film)
    desk_client.post(f"/bookings/{booking.pk}/cancel/", {"key": "c" * 16})
    response = desk_client.post(f"/bookings/{booking.pk}/change/", typed(film))
    assert response.status_code == 422
    assert "This booking was cancelled." in response.content.decode()


def test_a_change_replaces_panels_and_film_held(desk_client, film):
    booking = make_booking(film=film)
    before = booking.reservation.length_mm
    response = desk_client.post(
        f"/bookings/{booking.pk}/change/",
        typed(film, package="single_panels", panel_hood="on", name=""),
    )
    booking.refresh_from_db()
    assert response.status_code == 303
    assert [panel.panel for panel in booking.panels.all()] == ["hood"]
    assert FilmReservation.objects.get().length_mm < before
    assert booking.customer.name == "Robin Ash"


def test_the_edit_page_shows_what_was_agreed(desk_client, film):
    booking = make_booking(film=film, notes="two keys")
    page = desk_client.get(f"/bookings/{booking.pk}/edit/").content.decode()
    assert "two keys" in page
    assert 'value="1800.00"' in page


def test_a_known_customer_and_car_are_not_doubled(desk_client, film):
    car = make_vehicle()
    response = desk_client.get(f"/bookings/new/?vehicle={car.pk}")
    assert f'name="vehicle_pk" value="{car.pk}"' in response.content.decode()
    desk_client.post(
        "/bookings/make/",
        typed(film, name="", customer_pk=car.customer_id, vehicle_pk=car.pk),
    )
    assert Vehicle.objects.count() == Customer.objects.count() == 1


def test_the_cost_is_shown_to_managers_only(client, desk, manager, film):
    Price.objects.create(code="cost/hour", label="hour", amount=Decimal(50))
    client.force_login(desk)
    look = typed(film)
    assert "costs the shop" not in client.post("/bookings/look/", look).content.decode()
    client.force_login(manager)
    assert "costs the shop" in client.post("/bookings/look/", look).content.decode()


def test_the_list_runs_the_same_queries_for_one_car_and_for_ten(
    desk_client, film, django_assert_num_queries
):
    make_booking(film=film, at=timezone.now())
    desk_client.get("/bookings/")
    with CaptureQueriesContext(
        connection,
    ) as one:
        desk_client.get("/bookings/")
    for number in range(9):
        car = make_vehicle(plate=f"T {number}")
        make_booking(film=film, vehicle=car, at=timezone.now())
    with django_assert_num_queries(len(one)):
        page = desk_client.get("/bookings/").content.decode()
    assert "T 8" in page


def test_no_price_for_a_panel_is_said_and_no_sum_is_shown(desk_client, film):
    look = typed(film, package="single_panels", panel_hood="on")
    page = desk_client.post("/bookings/look/", look).content.decode()
    assert "The price list has no hood for size D in film A." in page
