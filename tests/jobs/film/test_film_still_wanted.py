""" "Order some" is said of what is still to be cut, and of nothing else."""

from __future__ import annotations

import pytest
from django.urls import reverse

from jobs.bookings.actions import cancel_booking
from jobs.bookings.queries import films_short
from jobs.film.queries import film_stock
from jobs.models import FilmReservation, Roll
from jobs.stages.table import Stage
from shopapp.frame import perform
from shopapp.models import the_shop
from tests.makers import (
    NOW,
    make_booking,
    make_film,
    make_roll,
    make_tap,
    make_vehicle,
    make_workorder,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def roll(db):
    return make_roll(make_film(), left_mm=500)


@pytest.fixture
def booking(roll, manager):
    return make_booking(manager, film=roll.film)


def page_of(client, booking):
    url = reverse("jobs:booking_detail", args=[booking.pk])
    return client.get(url).content.decode()


def lay_all(order, *, all_but=0):
    codes = [panel.pk for panel in order.panels.all()]
    order.panels.filter(pk__in=codes[all_but:]).update(laid_at=NOW, laid_round=1)


def test_a_booking_to_come_is_told_that_its_film_is_short(client, booking, manager):
    client.force_login(manager)
    assert "order some" in page_of(client, booking)


def test_a_car_handed_over_wants_no_film(client, booking, manager):
    client.force_login(manager)
    order = make_workorder(manager, booking=booking)
    order.stage = Stage.CLOSED.value
    order.save()
    assert "order some" not in page_of(client, booking)


def test_a_car_that_wears_its_film_wants_none(client, booking, manager):
    client.force_login(manager)
    lay_all(make_workorder(manager, booking=booking))
    assert "order some" not in page_of(client, booking)


def test_a_cancelled_booking_wants_no_film(client, booking, manager):
    client.force_login(manager)
    perform(make_tap(manager), cancel_booking, booking_pk=booking.pk)
    page = page_of(client, booking)
    assert "order some" not in page
    assert "before the earliest hand-over" not in page


def test_only_the_panels_left_are_reckoned_with(client, booking, manager):
    client.force_login(manager)
    order = make_workorder(manager, booking=booking)
    assert "order some" in page_of(client, booking)
    lay_all(order, all_but=1)
    Roll.objects.update(left_mm=2900)
    assert "order some" not in page_of(client, booking)


def test_film_of_a_car_that_is_gone_is_held_no_more(booking, roll, manager):
    order = make_workorder(manager, booking=booking)
    assert films_short(the_shop())
    order.stage = Stage.CLOSED.value
    order.save()
    assert FilmReservation.objects.filter(released_at=None).exists()
    assert not films_short(the_shop())
    (stock,) = film_stock()
    assert stock.held_mm == 0


def test_film_of_a_car_that_wears_it_is_free_for_the_next(client, roll, manager):
    Roll.objects.update(left_mm=5000)
    client.force_login(manager)
    booking = make_booking(manager, film=roll.film)
    lay_all(make_workorder(manager, booking=booking))
    car = make_vehicle(plate="TST 2", vin="")
    after = make_booking(manager, film=roll.film, vehicle=car)
    assert "order some" not in page_of(client, after)
