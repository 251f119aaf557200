"""What stands on the desk's lists, and on the page of a car that comes."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.utils import timezone

from jobs.stages.table import Stage
from tests.jobs.bookings.fits import local
from tests.makers import make_booking, make_workorder

pytestmark = pytest.mark.django_db


def test_todays_arrivals_stand_at_the_top_of_the_bookings_with_a_phone_to_tap(
    desk_client, film
):
    now = timezone.now()
    make_booking(film=film, at=now, arrives_at=now, promised_at=now + timedelta(days=3))
    page = desk_client.get("/bookings/").content.decode()
    assert page.index("Expected today") < page.index("Take in")
    assert 'href="tel:555-0' in page


def test_a_car_that_has_come_came_and_does_not_arrive(desk_client, film):
    now = timezone.now()
    booking = make_booking(film=film, at=now, promised_at=now + timedelta(days=3))
    order = make_workorder(booking=booking, at=timezone.now())
    came = local(order.arrived_at)
    page = desk_client.get("/bookings/").content.decode()
    assert f"came {came:%a} {came.day} {came:%b %H:%M}" in page


def test_taking_in_a_car_of_another_day_says_so(desk_client, film):
    booking = make_booking(film=film, at=timezone.now() + timedelta(days=2))
    page = desk_client.get(f"/arrivals/{booking.pk}/").content.decode()
    assert "not for today" in page
    today = timezone.now()
    other = make_booking(
        film=film, at=today, arrives_at=today, promised_at=today + timedelta(days=3)
    )
    page = desk_client.get(f"/arrivals/{other.pk}/").content.decode()
    assert "not for today" not in page


def test_the_step_of_others_is_no_big_button_for_the_desk(desk_client, film):
    order = make_workorder(film=film, stage=Stage.INSTALL)
    page = desk_client.get(f"/workorders/{order.pk}/").content.decode()
    assert 'class="button plain" href="/workorders/' in page
    assert 'class="button primary big" href="/workorders/' not in page
