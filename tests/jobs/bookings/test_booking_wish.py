"""What is fixed of a car before it comes: who, when, and what the plan has of it."""

from __future__ import annotations

import re
from datetime import timedelta

import pytest
from django.utils import timezone

from jobs.models import Booking, CarWish
from jobs.plan.planned import Step
from jobs.plan.shop import Part
from tests.jobs.bookings.fits import (
    in_days,
    open_day,
    standing,
    typed,
    value_of,
)
from tests.makers import (
    make_booking,
    make_vehicle,
    make_workorder,
)

pytestmark = pytest.mark.django_db
FIELD = "%Y-%m-%dT%H:%M"


def test_who_lays_the_film_and_when_is_part_of_the_booking(
    desk_client, film, bay, hands
):
    arrives = in_days(3)
    made = desk_client.post(
        "/bookings/make/",
        typed(
            film,
            arrives_at=arrives.strftime(FIELD),
            promised_at=open_day(arrives + timedelta(days=4)).strftime(FIELD),
            people=[hands[0].pk],
            film_day=arrives.date().isoformat(),
            film_half="afternoon",
        ),
    )
    wish = CarWish.objects.get()
    assert (wish.day, wish.half) == (arrives.date(), "afternoon")
    assert list(wish.people.all()) == [hands[0]]
    page = desk_client.get(made.headers["Location"]).content.decode()
    assert "Film work" in page
    assert "Kim" in page
    edit = desk_client.get(f"/bookings/{wish.booking_id}/edit/").content.decode()
    assert value_of(edit, "film_day") == arrives.date().isoformat()


def test_a_change_of_it_is_in_the_history_without_names(desk_client, film, hands):
    arrives = in_days(3)
    booking = make_booking(
        vehicle=make_vehicle(plate="A 1"),
        film=film,
        arrives_at=arrives,
        promised_at=open_day(arrives + timedelta(days=4)),
        at=timezone.now(),
        people=(hands[0],),
    )
    desk_client.post(
        f"/bookings/{booking.pk}/change/",
        typed(
            film,
            arrives_at=arrives.strftime(FIELD),
            promised_at=open_day(arrives + timedelta(days=4)).strftime(FIELD),
            people=[hands[1].pk],
            film_day=arrives.date().isoformat(),
        ),
    )
    event = booking.events.get(what="booking_changed")
    assert event.facts["changed"]["people"] == [[hands[0].pk], [hands[1].pk]]
    page = desk_client.get(f"/bookings/{booking.pk}/").content.decode()
    assert "film work on" in page
    assert list(booking.wish.people.all()) == [hands[1]]


def test_nothing_fixed_makes_no_row(desk_client, film):
    make_booking(film=film)
    assert not CarWish.objects.exists()


def test_film_work_before_the_car_comes_is_refused_at_its_field(desk_client, film):
    arrives = in_days(3)
    answer = desk_client.post(
        "/bookings/make/",
        typed(
            film,
            arrives_at=arrives.strftime(FIELD),
            promised_at=open_day(arrives + timedelta(days=4)).strftime(FIELD),
            film_day=(arrives - timedelta(days=1)).date().isoformat(),
        ),
    )
    assert answer.status_code == 422
    page = answer.content.decode()
    assert "Film work cannot begin before the car arrives." in page
    assert value_of(page, "plate") == "NEW 1"
    assert not Booking.objects.exists()


def test_the_booking_shows_the_plans_steps(desk_client, film, bay, hands):
    booking = make_booking(film=film, at=timezone.now())
    start = in_days(2)
    step = Step(
        car=f"booking-{booking.pk}",
        part=Part.INSTALL,
        starts_at=start,
        ends_at=start + timedelta(hours=6),
        spot=f"bay-{bay.pk}",
        people=(f"person-{hands[0].pk}",),
    )
    standing(step)
    page = desk_client.get(f"/bookings/{booking.pk}/").content.decode()
    assert "By the plan" in page
    assert "film work" in page
    assert "Bay 1" in page
    assert "Kim" in page


def test_who_was_to_lay_the_film_is_the_crew_once_the_car_is_here(film, hands):
    booking = make_booking(film=film, people=(hands[0],))
    order = make_workorder(booking=booking)
    assert list(order.crew.all()) == [hands[0]]
    assert order.events.filter(what="crew").count() == 1


def test_the_bay_of_the_booking_is_chosen_when_the_car_comes(desk_client, film, bay):
    booking = make_booking(film=film, bay=bay)
    page = desk_client.get(f"/arrivals/{booking.pk}/").content.decode()
    assert re.search(rf'value="bay-{bay.pk}"[^>]*checked', page)
    other = make_booking(film=film, vehicle=make_vehicle(plate="A 2"))
    make_workorder(booking=other, bay=bay)
    page = desk_client.get(f"/arrivals/{booking.pk}/").content.decode()
    assert not re.search(rf'value="bay-{bay.pk}"[^>]*checked', page)
