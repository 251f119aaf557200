"""A car that nobody booked stands at the door."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.utils import timezone

from jobs.models import Booking, WorkOrder
from jobs.plan.fit_queries import promise_at_once
from tests.jobs.bookings.fits import in_days, local, typed
from tests.makers import make_place, make_workorder

pytestmark = pytest.mark.django_db


def walks_in(client, film, **more):
    return client.post("/bookings/walk-in/", typed(film, **more))


def test_one_press_books_for_now_and_takes_it_in(desk_client, film, bay, hands):
    answer = walks_in(desk_client, film, bay=bay.pk)
    order = WorkOrder.objects.get()
    assert answer["Location"] == f"/workorders/{order.pk}/"
    assert order.booking is not None
    assert order.booking.state == Booking.State.ARRIVED
    assert timezone.now() - order.booking.arrives_at < timedelta(minutes=2)
    assert order.promised_at > order.arrived_at
    assert (order.bay, order.stage) == (bay, "intake")
    page = desk_client.get(answer["Location"]).content.decode()
    assert f"{order.number} is taken in, promised for" in page


def test_the_promise_is_the_plans_unless_one_is_typed(desk_client, film, bay, hands):
    later = in_days(30, hour=12)
    walks_in(desk_client, film, promised_at=f"{later:%Y-%m-%dT%H:%M}")
    assert WorkOrder.objects.get().promised_at == later
    sent = typed(film, name="Kim Vale", phone="555-0102", plate="NEW 2", key="n" * 16)
    page = desk_client.post("/bookings/fits/", sent).content.decode()
    desk_client.post("/bookings/walk-in/", sent)
    second = WorkOrder.objects.latest("pk")
    said = local(second.promised_at)
    assert f"promise {said:%a} {said.day} {said:%b %H:%M}" in page


def test_a_full_shop_is_said_and_is_not_in_the_way(desk_client, film, bay, hands):
    there = make_workorder(bay=bay, film=film, at=timezone.now())
    page = desk_client.post("/bookings/fits/", typed(film)).content.decode()
    assert "Here now: ready" in page
    answer = walks_in(desk_client, film, bay=bay.pk)
    order = WorkOrder.objects.exclude(pk=there.pk).get()
    assert answer.status_code == 303
    assert (order.bay, order.place) == (None, None)
    page = desk_client.get(answer["Location"]).content.decode()
    assert "Say where it stands." in page


def test_a_shop_without_bay_or_hands_takes_a_car_in_all_the_same(desk_client, film):
    assert walks_in(desk_client, film).status_code == 303
    assert WorkOrder.objects.get().promised_at > timezone.now()


def test_what_is_wrong_is_said_and_nothing_is_lost(desk_client, film):
    answer = walks_in(desk_client, film, name="", phone="five five", notes="two keys")
    page = answer.content.decode()
    assert answer.status_code == 422
    assert "two keys" in page
    assert 'value="five five"' in page
    assert not Booking.objects.exists()


def test_a_promise_on_a_closed_day_is_refused(desk_client, film):
    sunday = in_days(7) + timedelta(days=6 - in_days(7).weekday())
    answer = walks_in(desk_client, film, promised_at=f"{sunday:%Y-%m-%dT%H:%M}")
    assert answer.status_code == 422
    assert "The shop is closed on Sunday" in answer.content.decode()
    assert not Booking.objects.exists()


def test_a_car_that_is_in_is_not_taken_in_again(desk_client, film):
    there = make_workorder(film=film, place=make_place(), at=timezone.now())
    mine = {"customer_pk": there.customer_id, "vehicle_pk": there.vehicle_id}
    answer = walks_in(desk_client, film, **mine)
    assert answer.status_code == 422
    assert "add to its order instead" in answer.content.decode()
    assert WorkOrder.objects.count() == Booking.objects.count() == 1


def test_the_same_tap_twice_takes_it_in_once(desk_client, film, bay, hands):
    first, second = walks_in(desk_client, film), walks_in(desk_client, film)
    assert first["Location"] == second["Location"]
    assert WorkOrder.objects.count() == 1
    assert Booking.objects.get().pk


def test_nothing_is_promised_while_too_little_is_known():
    assert promise_at_once({}, now=timezone.now()) is None
