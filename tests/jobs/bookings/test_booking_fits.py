"""When a car fits: offers that fill the form, clashes."""

from __future__ import annotations

import re
from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from jobs.bookings import fits_pages
from jobs.models import Booking
from shopapp.models import the_shop
from tests.jobs.bookings.fits import (
    held,
    in_days,
    local,
    look_for,
    offers_in,
    open_day,
    typed,
    value_of,
)
from tests.makers import (
    make_booking,
    make_vehicle,
)

pytestmark = pytest.mark.django_db
FIELD = "%Y-%m-%dT%H:%M"


def test_the_next_three_days_that_fit_are_offered(desk_client, film, bay, hands):
    page = look_for(desk_client, film)
    assert len(offers_in(page)) == 3
    assert "As the plan stands at" in page
    assert "Film work by one installer" in page


def test_the_form_itself_asks_for_no_plan(desk_client, film, bay, monkeypatch):
    def planned(*args, **kwargs):
        raise AssertionError("the form plans")

    monkeypatch.setattr(fits_pages, "fits_now", planned)
    page = desk_client.get("/bookings/new/").content.decode()
    assert 'hx-post="/bookings/fits/"' in page
    assert "arliest" not in page


@pytest.mark.parametrize("htmx", [True, False])
def test_a_tap_on_an_offer_fills_arrival_bay_and_promise(
    desk_client, film, bay, hands, htmx
):
    offer = offers_in(look_for(desk_client, film))[0]
    headers = {"HX-Request": "true", "HX-Target": "booking-when"} if htmx else {}
    answer = desk_client.post(
        "/bookings/look/", typed(film, offer=offer), headers=headers
    )
    page = answer.content.decode()
    arrives, bay_pk, promised = offer.split("|")
    assert value_of(page, "arrives_at") == arrives
    assert value_of(page, "promised_at") == promised
    assert f'value="{bay.pk}" selected' in page
    assert bay_pk == str(bay.pk)
    assert ("<html" in page) is not htmx
    if not htmx:
        assert value_of(page, "plate") == "NEW 1"


def test_what_was_offered_can_be_booked_as_it_stands(desk_client, film, bay, hands):
    offer = offers_in(look_for(desk_client, film))[0]
    arrives, bay_pk, promised = offer.split("|")
    desk_client.post(
        "/bookings/make/",
        typed(
            film, arrives_at=arrives, promised_at=promised, bay=bay_pk, offered=offer
        ),
    )
    booking = Booking.objects.get()
    assert local(booking.arrives_at).strftime(FIELD) == arrives
    assert booking.bay == bay
    opening = the_shop().opens_at
    assert local(booking.arrives_at).time() >= opening


def test_the_day_that_the_customer_wants_is_answered(desk_client, film, bay, hands):
    wanted = in_days(5).date()
    page = look_for(desk_client, film, wanted=wanted.isoformat())
    assert "That day fits:" in page
    assert offers_in(page)[0].startswith(wanted.isoformat())


def test_a_day_that_has_passed_is_said_and_the_nearest_are_offered(
    desk_client, film, bay, hands
):
    gone = (local(timezone.now()) - timedelta(days=3)).date()
    page = look_for(desk_client, film, wanted=gone.isoformat())
    assert "has passed" in page
    assert "The nearest days that fit:" in page
    assert offers_in(page)


def test_a_shop_without_bays_says_so_and_when_it_would_be_ready(desk_client, film):
    page = look_for(desk_client, film)
    assert "No day was found that fits." in page
    assert "With a bay and one installer for itself it is ready" in page


def test_too_little_chosen_is_said(desk_client, film):
    page = look_for(desk_client, film, package="")
    assert "Choose car size, film and panels" in page


def test_enter_books_and_never_takes_an_offered_day(desk_client, film, bay, hands):
    whole = desk_client.post("/bookings/look/", typed(film)).content.decode()
    page = re.split(r'<form class="split booking"[^>]*>', whole)[1]
    assert offers_in(page)
    first = re.search(r"<button[^>]*>[^<]*</button>", page)
    assert first is not None
    assert "Book it" in first.group()
    assert "name=" not in first.group()
    assert "formaction" not in first.group()


def test_nonsense_instead_of_an_offer_fills_nothing(desk_client, film):
    page = desk_client.post("/bookings/look/", typed(film, offer="x|y")).content
    assert value_of(page.decode(), "arrives_at") == ""


def test_an_installer_asks_for_no_offers(client, installer, film):
    client.force_login(installer)
    assert client.post("/bookings/fits/", typed(film)).status_code == 403


def test_offers_ask_the_same_queries_however_many_cars(desk_client, film, bay, hands):
    def queries():
        with CaptureQueriesContext(connection) as asked:
            look_for(desk_client, film)
        return len(asked)

    make_booking(vehicle=make_vehicle(plate="A 0"), at=timezone.now())
    look_for(desk_client, film)
    few = queries()
    for number in range(1, 5):
        make_booking(vehicle=make_vehicle(plate=f"A {number}"), at=timezone.now())
    assert queries() == few


# -- what stands against it --------------------------------------------------------


def test_two_cars_in_one_bay_at_one_hour_are_said_in_the_form_and_on_the_page(
    desk_client, film, bay, hands
):
    arrives = in_days(3)
    other = make_vehicle(plate="KTR 4821")
    make_booking(
        vehicle=other,
        film=film,
        arrives_at=arrives,
        promised_at=open_day(arrives + timedelta(days=4)),
        bay=bay,
    )
    mine = {
        "arrives_at": arrives.strftime(FIELD),
        "promised_at": open_day(arrives + timedelta(days=4)).strftime(FIELD),
        "bay": bay.pk,
    }
    page = look_for(desk_client, film, **mine)
    assert "Bay 1 is taken on" in page
    assert "by KTR 4821 until" in page
    made = desk_client.post("/bookings/make/", typed(film, **mine))
    assert made.status_code == 302 or made.status_code == 303
    page = desk_client.get(made.headers["Location"]).content.decode()
    assert "by KTR 4821 until" in page


def test_a_car_that_the_plan_has_in_the_bay_is_named_until_it_leaves(
    desk_client, film, bay, hands
):
    arrives = in_days(3)
    other = make_booking(
        vehicle=make_vehicle(plate="KTR 4821"), film=film, at=timezone.now()
    )
    held(other, bay, arrives - timedelta(hours=1), arrives + timedelta(days=1))
    page = look_for(desk_client, film, arrives_at=arrives.strftime(FIELD), bay=bay.pk)
    assert "by KTR 4821 until" in page


def test_an_arrival_in_the_past_and_one_after_the_promise_are_said(
    desk_client, film, bay, hands
):
    gone, soon, later = in_days(-6), in_days(2), in_days(9)
    assert "that has passed" in look_for(
        desk_client, film, arrives_at=gone.strftime(FIELD)
    )
    page = look_for(
        desk_client,
        film,
        arrives_at=later.strftime(FIELD),
        promised_at=soon.strftime(FIELD),
    )
    assert "The promise lies before the arrival." in page


def test_an_offered_promise_moves_along_with_the_arrival(desk_client, film, bay, hands):
    offer = offers_in(look_for(desk_client, film))[0]
    arrives, bay_pk, promised = offer.split("|")
    later = in_days(12)
    moved = {
        "arrives_at": later.strftime(FIELD),
        "promised_at": promised,
        "bay": bay_pk,
        "offered": offer,
    }
    page = look_for(desk_client, film, **moved)
    assert "has moved along with the arrival" in page
    assert value_of(page, "promised_at") > later.strftime(FIELD)
    page = desk_client.post("/bookings/look/", typed(film, **moved)).content.decode()
    assert value_of(page, "promised_at") > later.strftime(FIELD)


def test_a_promise_that_was_typed_stays_where_it_is(desk_client, film, bay, hands):
    offer = offers_in(look_for(desk_client, film))[0]
    typed_promise = in_days(4, hour=15).strftime(FIELD)
    page = look_for(
        desk_client,
        film,
        arrives_at=in_days(12).strftime(FIELD),
        promised_at=typed_promise,
        offered=offer,
    )
    assert "has moved along" not in page
    assert "The promise lies before the arrival." in page


# -- crew and hours before arrival -------------------------------------------------
