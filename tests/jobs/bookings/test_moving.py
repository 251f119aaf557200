"""A booked car comes another day."""

from __future__ import annotations

import re
from datetime import timedelta

import pytest
from django.utils import timezone

from shopapp.models import OpenDay
from tests.jobs.bookings.fits import in_days, local
from tests.makers import make_booking, make_workorder

pytestmark = pytest.mark.django_db
KEY = "k" * 16


def move(client, booking, day, at="10:00", page="move/"):
    sent = {"key": KEY, "day": f"{day:%Y-%m-%d}", "at": at}
    return client.post(f"/bookings/{booking.pk}/{page}", sent)


@pytest.fixture
def booking(film):
    arrives = in_days(3)
    return make_booking(
        film=film,
        at=timezone.now(),
        arrives_at=arrives,
        promised_at=arrives + timedelta(days=2),
        film_day=arrives.date(),
    )


def test_the_promise_and_the_films_day_move_along(desk_client, booking):
    new = in_days(10)
    stay = booking.promised_at - booking.arrives_at
    assert move(desk_client, booking, new).status_code == 303
    booking.refresh_from_db()
    assert local(booking.arrives_at) == new.replace(hour=10)
    assert booking.promised_at - booking.arrives_at >= stay
    assert booking.wish.day == new.date()
    changed = booking.events.get(what="booking_changed").facts["changed"]
    assert {"arrives_at", "promised_at", "film_day"} == set(changed)


def test_it_is_looked_at_before_and_nothing_is_kept(desk_client, booking):
    was = booking.arrives_at
    page = move(desk_client, booking, in_days(10), page="move/look/").content.decode()
    assert "the promise moves along to" in page
    booking.refresh_from_db()
    assert booking.arrives_at == was


def test_a_closed_day_and_a_day_gone_by_are_refused(desk_client, booking):
    saturday = in_days(7)
    saturday += timedelta(days=5 - saturday.weekday())
    closed = move(desk_client, booking, saturday)
    assert closed.status_code == 422
    assert "The shop is closed on" in closed.content.decode()
    gone = move(desk_client, booking, in_days(0) - timedelta(days=30))
    assert "This has passed." in gone.content.decode()


def test_a_car_that_is_here_is_not_moved(desk_client, film):
    order = make_workorder(film=film)
    answer = move(desk_client, order.booking, in_days(3))
    assert answer.status_code == 422
    assert "Only a car that is still to come can be moved." in answer.content.decode()


def near_in(page):
    return re.findall(r'name="near" value="([^"]+)"', page)


def test_open_days_near_a_closed_one_are_buttons_that_move_it(desk_client, booking):
    sunday = in_days(7)
    sunday += timedelta(days=6 - sunday.weekday())
    page = move(desk_client, booking, sunday).content.decode()
    assert near_in(page) == [
        f"{sunday + timedelta(days=apart):%Y-%m-%d}T10:00" for apart in (-2, 1, 2)
    ]
    assert f'value="{sunday:%Y-%m-%d}"' in page
    looked = move(desk_client, booking, sunday, page="move/look/").content.decode()
    assert "The shop is closed on Sunday" in looked
    assert near_in(looked)
    sent = {"key": KEY, "day": f"{sunday:%Y-%m-%d}", "at": "10:00"}
    sent["near"] = near_in(page)[1]
    answer = desk_client.post(f"/bookings/{booking.pk}/move/", sent)
    booking.refresh_from_db()
    assert answer.status_code == 303
    assert local(booking.arrives_at) == (sunday + timedelta(days=1)).replace(hour=10)


def test_the_half_of_a_day_that_is_closed_is_closed(desk_client, booking):
    day = in_days(10)
    OpenDay.objects.filter(weekday=day.weekday()).update(
        opens_at="08:00", closes_at="12:00"
    )
    late = move(desk_client, booking, day, at="15:00")
    assert "The shop closes at 12:00 that day." in late.content.decode()
    assert move(desk_client, booking, day, at="11:00").status_code == 303


def test_film_work_fixed_for_a_half_that_is_closed_is_left_to_the_plan(
    desk_client, booking
):
    day = in_days(10)
    booking.wish.half = "afternoon"
    booking.wish.save()
    OpenDay.objects.filter(weekday=day.weekday()).update(
        opens_at="08:00", closes_at="12:00"
    )
    assert move(desk_client, booking, day).status_code == 303
    booking.wish.refresh_from_db()
    assert (booking.wish.day, booking.wish.half) == (None, "")


def test_a_closed_day_of_film_work_has_days_near_it(desk_client, booking):
    sunday = in_days(14)
    sunday += timedelta(days=6 - sunday.weekday())
    sent = {"key": KEY, "on": "other", "day": f"{sunday:%Y-%m-%d}"}
    page = desk_client.post(f"/plan/cars/{booking.pk}/move/", sent).content.decode()
    assert "The shop is closed on Sunday" in page
    sent["near"] = near_in(page)[0]
    assert desk_client.post(f"/plan/cars/{booking.pk}/move/", sent).status_code == 303
    booking.wish.refresh_from_db()
    assert booking.wish.day == (sunday - timedelta(days=2)).date()
