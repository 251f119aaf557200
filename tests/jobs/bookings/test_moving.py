"""A booked car comes another day."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.utils import timezone

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
