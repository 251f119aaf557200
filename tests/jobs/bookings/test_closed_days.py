"""An appointment on a day on which nobody is there."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.utils import timezone

from jobs.models import Booking
from shopapp.models import Holiday, OpenDay
from tests.jobs.bookings.fits import in_days, look_for, offers_in, typed, value_of
from tests.makers import make_booking

pytestmark = pytest.mark.django_db
FIELD = "%Y-%m-%dT%H:%M"


def weekday(number, hour=9):
    """The next but one such day of the week; 0 is Monday."""
    day = in_days(7, hour=hour)
    return day + timedelta(days=number - day.weekday() + 7)


def times(arrives, promised):
    return {
        "arrives_at": arrives.strftime(FIELD),
        "promised_at": promised.strftime(FIELD),
    }


@pytest.fixture
def sunday():
    return weekday(6)


def test_it_is_refused_and_open_days_near_it_are_buttons(desk_client, film, sunday):
    sent = typed(film, notes="two keys", **times(sunday, weekday(4) + timedelta(7)))
    answer = desk_client.post("/bookings/make/", sent)
    page = answer.content.decode()
    assert answer.status_code == 422
    assert "The shop is closed on Sunday" in page
    assert "two keys" in page
    days = [offer.split("T")[0] for offer in offers_in(page)]
    assert days == [
        f"{sunday + timedelta(days=apart):%Y-%m-%d}" for apart in (-2, 1, 2)
    ]
    assert not Booking.objects.exists()


def test_its_button_takes_the_arrival_there_and_the_promise_along(
    desk_client, film, sunday
):
    sent = typed(film, **times(sunday, sunday + timedelta(days=2, hours=3)))
    offer = offers_in(desk_client.post("/bookings/make/", sent).content.decode())[1]
    page = desk_client.post("/bookings/look/", {**sent, "offer": offer})
    monday = sunday + timedelta(days=1)
    arrives = value_of(page.content.decode(), "arrives_at")
    promised = value_of(page.content.decode(), "promised_at")
    assert arrives == monday.strftime(FIELD)
    assert promised >= (monday + timedelta(days=2, hours=3)).strftime(FIELD)
    sent |= {"arrives_at": arrives, "promised_at": promised}
    assert desk_client.post("/bookings/make/", sent).status_code == 303


def test_it_is_said_while_one_types(desk_client, film, sunday):
    page = look_for(desk_client, film, arrives_at=sunday.strftime(FIELD))
    assert "The shop is closed on Sunday" in page
    assert len(offers_in(page)) >= 3


def test_a_promise_on_a_closed_day_is_refused_with_days_after_the_arrival(
    desk_client, film, sunday
):
    friday = sunday - timedelta(days=2)
    sent = typed(film, **times(friday, sunday))
    page = desk_client.post("/bookings/make/", sent).content.decode()
    promises = [offer.split("|")[2] for offer in offers_in(page)]
    assert promises
    assert all(promise > friday.strftime(FIELD) for promise in promises)
    assert not Booking.objects.exists()


def test_a_holiday_is_named(desk_client, film):
    day = weekday(2)
    Holiday.objects.create(day=day.date(), name="stocktaking")
    sent = typed(film, **times(day, day + timedelta(days=1)))
    page = desk_client.post("/bookings/make/", sent).content.decode()
    assert "stocktaking" in page


def test_the_half_of_a_day_that_is_closed_is_closed(desk_client, film):
    OpenDay.objects.filter(weekday=2).update(opens_at="08:00", closes_at="12:00")
    noon, after = weekday(2, hour=12), weekday(2, hour=15)
    late = typed(film, **times(after, weekday(4)))
    page = desk_client.post("/bookings/make/", late).content.decode()
    assert "The shop closes at 12:00 that day." in page
    sent = typed(film, **times(noon, weekday(4)))
    assert desk_client.post("/bookings/make/", sent).status_code == 303


def test_a_day_gone_by_is_refused(desk_client, film):
    gone = in_days(-9)
    sent = typed(film, **times(gone, weekday(2)))
    page = desk_client.post("/bookings/make/", sent).content.decode()
    assert "This has passed." in page
    assert not Booking.objects.exists()


def test_a_booking_on_a_day_that_was_closed_since_can_be_changed_otherwise(
    desk_client, film
):
    arrives, promised = weekday(2), weekday(4)
    booking = make_booking(
        film=film, at=timezone.now(), arrives_at=arrives, promised_at=promised
    )
    Holiday.objects.create(day=arrives.date(), name="stocktaking")
    url = f"/bookings/{booking.pk}/change/"
    kept = typed(film, notes="two keys", **times(arrives, promised))
    assert desk_client.post(url, kept).status_code == 303
    moved = typed(film, key="m" * 16, **times(arrives.replace(hour=10), promised))
    assert desk_client.post(url, moved).status_code == 422


def test_it_is_said_at_once_with_what_else_is_wrong(desk_client, film, sunday):
    sent = typed(film, phone="five five", **times(sunday, weekday(4) + timedelta(7)))
    page = desk_client.post("/bookings/make/", sent).content.decode()
    assert "has letters" in page
    assert "The shop is closed on Sunday" in page
    assert 'id="id_arrives_at_error"' in page
