"""Film for the next day's cars: looked at once each afternoon, said where short."""

from __future__ import annotations

from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from django.urls import reverse
from django.utils import timezone

from jobs import tasks
from jobs.film.ahead_actions import KIND, SUBJECT, say_short
from jobs.film.ahead_queries import afternoon_of, next_day_with_cars, shortages_said
from jobs.models import Booking, FilmOrder, FilmReservation, FilmShortage
from shopapp.frame import perform
from shopapp.models import BackgroundTask, the_shop
from tests.makers import make_booking, make_film, make_roll, make_tap, make_vehicle

pytestmark = pytest.mark.django_db
CHICAGO = ZoneInfo("America/Chicago")
"""The zone of a new shop."""
WEDNESDAY = datetime(2026, 11, 25, 15, 0, tzinfo=CHICAGO)


@pytest.fixture
def film():
    film = make_film()
    make_roll(film, left_mm=6_000)
    return film


def book(film, manager, *, arrives, length_mm=5_000, plate="TST 1"):
    car = make_vehicle(plate=plate, vin="")
    booking = make_booking(manager, film=film, vehicle=car)
    Booking.objects.filter(pk=booking.pk).update(arrives_at=arrives)
    FilmReservation.objects.update_or_create(
        booking=booking,
        defaults={"film": film, "length_mm": length_mm, "width_mm": 1524},
    )
    return booking


@pytest.fixture
def tomorrow(film, manager):
    morning = WEDNESDAY.replace(hour=9) + timedelta(days=1)
    return [
        book(film, manager, arrives=morning, plate="TST 1"),
        book(film, manager, arrives=morning, plate="TST 2"),
    ]


@pytest.fixture
def at(monkeypatch):
    def be(moment):
        monkeypatch.setattr(timezone, "now", lambda: moment)

    return be


def look(at, moment=WEDNESDAY):
    """The clock's task, then every task that it rang for."""
    at(moment)
    tasks.film_clock()
    for task in BackgroundTask.objects.filter(kind=KIND, state="waiting"):
        tasks.film_ahead(task.pk)


def test_a_shortage_of_tomorrow_is_said_in_the_afternoon(tomorrow, film, at):
    look(at)
    row = FilmShortage.objects.get()
    assert (row.film, row.day.isoformat()) == (film, "2026-11-26")
    # Two cars of 5 m, 6 m on the roll.
    assert (row.wanted_mm, row.there_mm) == (10_000, 6_000)
    assert set(row.bookings.all()) == set(tomorrow)


def test_nothing_is_looked_at_before_the_afternoon(tomorrow, at):
    look(at, WEDNESDAY.replace(hour=13, minute=59))
    assert not BackgroundTask.objects.filter(kind=KIND).exists()
    assert not FilmShortage.objects.exists()


def test_a_shop_that_was_off_at_two_hears_of_it_when_it_is_on(tomorrow, at):
    look(at, WEDNESDAY.replace(hour=18))
    assert FilmShortage.objects.count() == 1


def test_every_tick_of_an_afternoon_is_one_look(tomorrow, at):
    for minute in (0, 5, 10):
        look(at, WEDNESDAY.replace(minute=minute))
    assert BackgroundTask.objects.filter(kind=KIND, subject=SUBJECT).count() == 1
    assert FilmShortage.objects.count() == 1


def test_the_next_afternoon_is_a_look_of_its_own(tomorrow, at):
    look(at)
    look(at, WEDNESDAY + timedelta(days=1))
    dues = BackgroundTask.objects.filter(kind=KIND).values_list("due", flat=True)
    assert len(set(dues)) == 2


def test_a_look_that_runs_twice_says_it_once(tomorrow):
    for _ in range(2):
        perform(make_tap(None, at=WEDNESDAY), say_short)
    assert FilmShortage.objects.count() == 1


def test_film_enough_says_nothing(film, manager, at):
    book(film, manager, arrives=WEDNESDAY + timedelta(days=1))
    look(at)
    assert not FilmShortage.objects.exists()


def test_a_car_that_is_here_and_waits_for_film_counts(film, manager, at):
    book(film, manager, arrives=WEDNESDAY - timedelta(days=1), plate="TST 3")
    book(film, manager, arrives=WEDNESDAY + timedelta(days=1))
    look(at)
    assert FilmShortage.objects.get().wanted_mm == 10_000


def test_a_cancelled_booking_does_not_count(tomorrow, at):
    Booking.objects.filter(pk=tomorrow[0].pk).update(state="cancelled")
    look(at)
    assert not FilmShortage.objects.exists()


def test_before_a_weekend_the_next_cars_are_looked_at(film, manager):
    friday = WEDNESDAY + timedelta(days=2)
    monday = friday.replace(hour=9) + timedelta(days=3)
    book(film, manager, arrives=monday)
    assert next_day_with_cars(now=friday, shop=the_shop()) == monday.date()


def test_the_afternoon_is_the_shops_own_also_when_clocks_change():
    # 1 November 2026: US clocks go back an hour; 14:00 CST is 20:00 UTC.
    sunday = datetime(2026, 11, 1, 12, tzinfo=CHICAGO)
    due = afternoon_of(sunday, shop=the_shop())
    assert due.astimezone(ZoneInfo("UTC")).hour == 20


def test_what_was_said_is_gone_once_the_film_has_come(tomorrow, film, at):
    look(at)
    now = WEDNESDAY
    assert len(shortages_said(now=now, shop=the_shop())) == 1
    make_roll(film, code="R2", left_mm=15_000)
    assert shortages_said(now=now, shop=the_shop()) == []


@pytest.mark.parametrize("name", ["floor", "bookings", "film"])
def test_the_pages_name_day_cars_and_what_is_coming(
    client, manager, tomorrow, film, at, name
):
    look(at)
    FilmOrder.objects.create(
        film=film,
        width_mm=1524,
        length_mm=15_000,
        due_on=WEDNESDAY.date(),
        ordered_by=manager,
        ordered_at=WEDNESDAY,
    )
    client.force_login(manager)
    page = client.get(reverse(f"jobs:{name}")).content.decode()
    assert "Thursday 26 November" in page
    assert "these cars need 10 m and 6 m is on the rolls" in page
    assert "TST 1, TST 2" in page
    assert "due Wed 25 Nov" in page
