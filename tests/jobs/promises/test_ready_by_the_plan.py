"""One figure everywhere: when a car is ready by the plan, and whether in time."""

from __future__ import annotations

import re
from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from jobs.models import Booking, Forecast, WorkOrder
from jobs.path.pages import board_fragment
from jobs.promises.queries import booking_outlook, clock, outlook_of
from jobs.stages.table import Stage
from shopapp.models import the_shop
from shopapp.say import say
from tests.makers import (
    make_bay,
    make_booking,
    make_forecast,
    make_vehicle,
    make_workorder,
)

pytestmark = pytest.mark.django_db
LATE = say("Bay 1 is taken until {until}.", until="Tue 14:00")


@pytest.fixture
def desk_client(client, desk):
    client.force_login(desk)
    return client


@pytest.fixture
def bay():
    return make_bay()


def page_of(client, url):
    return client.get(url).content.decode()


def booked(number=1, *, ready_h=30, **forecast):
    """A booking promised in two days, and what the plan says of it."""
    now = timezone.now()
    vehicle = make_vehicle(plate=f"TST {number}")
    booking = make_booking(vehicle=vehicle, at=now)
    make_forecast(booking, ready_at=now + timedelta(hours=ready_h), **forecast)
    return booking


def here(number=1, **forecast):
    return make_workorder(booking=booked(number, **forecast), at=timezone.now())


def outlook(order):
    return outlook_of(
        WorkOrder.objects.get(pk=order.pk), clock=clock(now=timezone.now())
    )


PAGES = ["/floor/", "/bookings/", "/workorders/{pk}/", "/workorders/{pk}/panels/"]


@pytest.mark.parametrize("url", PAGES)
def test_every_page_of_a_car_says_when_it_is_ready_by_the_plan(desk_client, url):
    order = here()
    page = page_of(desk_client, url.format(pk=order.pk))
    assert "by the plan" in page
    assert "at risk" not in page


@pytest.mark.parametrize("url", PAGES)
def test_a_car_that_is_late_by_the_plan_is_said_before_its_hour(desk_client, url):
    order = here(ready_h=60, standing="late", why=(LATE,))
    assert "late by the plan" in page_of(desk_client, url.format(pk=order.pk))


def test_inside_the_spread_it_is_tight(desk_client):
    order = here(standing="tight")
    assert ">tight</span>" in page_of(desk_client, "/floor/")
    assert outlook(order).word == "tight"


@pytest.mark.parametrize("url", ["/workorders/{pk}/", "/bookings/{booking}/"])
def test_the_reason_stands_beside_it_and_as_of_when(desk_client, url):
    order = here(ready_h=60, standing="late", why=(LATE,))
    page = page_of(desk_client, url.format(pk=order.pk, booking=order.booking_id))
    assert "Bay 1 is taken until Tue 14:00." in page
    assert "as of" in page


def test_a_reason_names_bays_and_people_and_shows_no_keys(desk_client, bay, desk):
    why = say(
        "It waits for {people} in {bay}.",
        people=f"person-{desk.pk}",
        bay=f"bay-{bay.pk}",
    )
    order = here(ready_h=60, standing="late", why=(why,))
    for url in (
        f"/workorders/{order.pk}/",
        f"/bookings/{order.booking_id}/",
        "/calls/",
    ):
        assert f"It waits for {desk} in Bay 1." in page_of(desk_client, url)


def test_a_booking_that_has_not_come_has_it_too(desk_client):
    booking = booked(ready_h=60, standing="late", why=(LATE,))
    assert "late by the plan" in page_of(desk_client, "/bookings/")
    assert "Bay 1 is taken" in page_of(desk_client, f"/bookings/{booking.pk}/")


def test_a_promise_moved_behind_the_plans_hour_is_kept(desk_client):
    order = here(ready_h=60, standing="late", why=(LATE,))
    later = timezone.now() + timedelta(hours=80)
    WorkOrder.objects.filter(pk=order.pk).update(promised_at=later)
    found = outlook(order)
    assert (found.word, found.why) == ("in time", ())


def test_a_promise_moved_before_the_plans_hour_is_late_at_once(desk_client):
    order = here(ready_h=30)
    soon = timezone.now() + timedelta(hours=20)
    WorkOrder.objects.filter(pk=order.pk).update(promised_at=soon)
    assert outlook(order).word == "late by the plan"


def test_a_closed_car_has_none(desk_client):
    order = here(ready_h=60, standing="late")
    WorkOrder.objects.filter(pk=order.pk).update(stage=Stage.CLOSED.value)
    assert outlook(order) is None
    assert "by the plan" not in page_of(desk_client, f"/workorders/{order.pk}/")
    booking = order.booking
    booking.refresh_from_db()
    assert booking_outlook(booking, clock=clock(now=timezone.now())) is None


def test_a_customer_whose_car_is_late_by_the_plan_is_to_be_called(desk_client):
    here(ready_h=60, standing="late", why=(LATE,))
    page = page_of(desk_client, "/calls/")
    assert "Call these customers" in page
    assert "Bay 1 is taken until" in page


def test_the_hour_to_tell_stands_in_the_form_of_a_late_car(desk_client):
    order = here(ready_h=60, standing="late")
    ready = timezone.localtime(order.booking.forecast.ready_at, the_shop().zone)
    page = page_of(desk_client, "/calls/")
    told = re.search(r'name="promised_at" value="([^"]+)"', page)
    assert told
    assert told.group(1) >= ready.strftime("%Y-%m-%dT%H:%M")


@pytest.mark.parametrize("url", ["/calls/", "/handovers/"])
def test_a_customer_whose_car_will_be_late_is_called_before_it_comes(desk_client, url):
    booking = booked(ready_h=60, standing="late", why=(LATE,))
    page = page_of(desk_client, url)
    assert "will be late by the plan; call before" in page
    assert "Bay 1 is taken until" in page
    assert 'href="tel:555-0101"' in page
    assert f'href="/bookings/{booking.pk}/edit/"' in page
    assert "can be promised." in page
    assert "Call 1 customer about the promised time" in page_of(
        desk_client, "/bookings/"
    )


def test_a_promise_behind_the_plans_hour_settles_the_call_before_it_comes(desk_client):
    booking = booked(ready_h=60, standing="late", why=(LATE,))
    Booking.objects.update(promised_at=booking.forecast.ready_at)
    assert "Nobody is to be called." in page_of(desk_client, "/calls/")


def test_a_car_that_will_not_come_is_no_call(desk_client):
    booked(ready_h=60, standing="late", why=(LATE,))
    Booking.objects.update(state=Booking.State.CANCELLED)
    assert "Nobody is to be called." in page_of(desk_client, "/calls/")


def test_a_car_that_the_plan_has_in_time_is_no_call(desk_client):
    here()
    assert "Nobody is to be called." in page_of(desk_client, "/calls/")


def queries_of(ask):
    with CaptureQueriesContext(connection) as asked:
        ask()
    return len(asked)


@pytest.mark.parametrize("url", ["/bookings/", "/calls/", "/handovers/"])
def test_lists_ask_the_same_queries_however_many_cars(desk_client, url):
    def grow(first, last):
        for number in range(first, last):
            booked(number, ready_h=60, standing="late", why=(LATE,))
            here(100 + number, ready_h=60, standing="late", why=(LATE,))

    grow(0, 1)
    page_of(desk_client, url)
    few = queries_of(lambda: page_of(desk_client, url))
    grow(1, 4)
    assert queries_of(lambda: page_of(desk_client, url)) == few


def test_the_board_asks_nothing_more_for_the_plans_hour(desk_client):
    make_workorder(booking=make_booking(at=timezone.now()), at=timezone.now())
    few = queries_of(board_fragment)
    Forecast.objects.all().delete()
    for number in range(1, 5):
        here(number)
    assert queries_of(board_fragment) == few
