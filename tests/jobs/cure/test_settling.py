"""How long a car stays after the last panel, and where."""

from __future__ import annotations

from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from jobs.coverage.catalogue import Package
from jobs.models import Film, WorkOrder
from jobs.stages.table import Stage
from jobs.workorders.actions import advance_stage
from shopapp.frame import perform
from shopapp.models import Place
from tests.makers import (
    make_booking,
    make_reading,
    make_roll,
    make_tap,
    make_workorder,
)

pytestmark = pytest.mark.django_db
KEY = "k" * 16
CHICAGO = ZoneInfo("America/Chicago")
THURSDAY = datetime(2031, 5, 8, 15, tzinfo=CHICAGO)


def into_cure(manager, at, *, package=Package.FULL_FRONT, air_c=None, place=None):
    """A car that goes into cure then; when its cure time is over, by the wall clock."""
    booked = make_booking(manager, package=package, at=at - timedelta(days=1))
    order = make_workorder(
        manager,
        booking=booked,
        stage=Stage.INSPECTION,
        at=at - timedelta(hours=20),
        place=place,
    )
    if air_c is not None:
        make_reading(order, manager, at=at - timedelta(hours=3), air_c=air_c)
    tap = make_tap(manager, at=at)
    perform(tap, advance_stage, workorder_pk=order.pk, to=Stage.CURE, reasons={})
    return WorkOrder.objects.get(pk=order.pk)


def over(order):
    return order.cure_over_at.astimezone(CHICAGO)


def test_a_full_front_stays_until_an_hour_after_the_next_opening(manager):
    # 12 h after 15:00 is 03:00; the shop opens at 8.
    assert over(into_cure(manager, THURSDAY)) == datetime(2031, 5, 9, 9, tzinfo=CHICAGO)


def test_a_partial_front_stays_two_hours_said_to_the_half_hour(manager):
    at = THURSDAY.replace(hour=10, minute=7)
    order = into_cure(manager, at, package=Package.PARTIAL_FRONT)
    assert over(order) == THURSDAY.replace(hour=12, minute=30)


def test_single_panels_stay_an_hour(manager):
    at = THURSDAY.replace(hour=10)
    booked = make_booking(manager, package=Package.PARTIAL_FRONT, at=at)
    type(booked).objects.update(package=Package.SINGLE_PANELS.value)
    booked.refresh_from_db()
    order = make_workorder(manager, booking=booked, stage=Stage.INSPECTION, at=at)
    tap = make_tap(manager, at=at)
    perform(tap, advance_stage, workorder_pk=order.pk, to=Stage.CURE, reasons={})
    order.refresh_from_db()
    assert over(order) == THURSDAY.replace(hour=11)


def test_a_cool_reading_by_day_is_no_cold_night(manager):
    # 17 °C at noon says nothing of the night; it took 24 h of the car before.
    order = into_cure(manager, THURSDAY, air_c=17.0)
    assert over(order).day == 9
    assert over(order).hour == 9


def test_one_switch_says_that_the_nights_are_cold(client, manager):
    client.force_login(manager)
    table = {"small_h": "1", "partial_h": "2", "overnight_h": "12"}
    table |= {"after_opening_h": "1", "easy_days": "2", "no_press_days": "14"}
    table |= {"pockets_days": "28", "recheck_from_days": "7"}
    table |= {"recheck_until_days": "14", "cold_nights": "on"}
    client.post("/settings/cure/change/", {"key": KEY, **table})
    order = into_cure(manager, THURSDAY)
    assert over(order) == datetime(2031, 5, 10, 9, tzinfo=CHICAGO)


def test_the_shops_own_hours_are_kept_and_less_for_more_film_is_refused(
    client, manager
):
    client.force_login(manager)
    table = {"small_h": "1", "partial_h": "3", "overnight_h": "2"}
    table |= {"after_opening_h": "1", "easy_days": "2", "no_press_days": "14"}
    table |= {"pockets_days": "28", "recheck_from_days": "7"}
    table |= {"recheck_until_days": "14"}
    answer = client.post("/settings/cure/change/", {"key": KEY, **table})
    assert "settles at least as long as less film" in answer.content.decode()
    kept = client.post("/settings/cure/change/", {"key": KEY, **table, "partial_h": 2})
    assert kept.status_code == 303


def test_the_makers_hours_win(manager):
    order = into_cure(manager, THURSDAY)
    Film.objects.update(cure_h=30)
    later = into_cure(manager, THURSDAY + timedelta(days=7))
    assert over(order).hour == 9
    assert over(later) == THURSDAY + timedelta(days=8, hours=6)


def test_the_booking_says_that_it_stays_overnight(client, desk):
    client.force_login(desk)
    booked = make_booking(desk)
    make_roll(booked.film)
    page = client.get(f"/bookings/{booked.pk}/").content.decode()
    assert "overnight, until 1 h after opening" in page


def test_a_place_knows_whether_it_is_indoors(client, manager):
    client.force_login(manager)
    typed = {"name": "Shed", "kind": "yard", "room_for": "1", "position": "1"}
    client.post("/settings/places/add/", {"key": KEY, **typed, "is_indoors": "on"})
    client.post("/settings/places/add/", {"key": "l" * 16, **typed, "name": "Lot"})
    page = client.get("/settings/places/").content.decode()
    assert Place.objects.count() == 2
    assert page.count("Indoors: film may settle here") == 3
    shed, lot = (page.index(f">{name} ") for name in ("Shed", "Lot"))
    assert 'name="is_indoors"' in page[shed:lot]


def test_a_car_that_settles_outdoors_is_said(client, manager):
    client.force_login(manager)
    yard = {"name": "Lot", "kind": "yard", "room_for": "1", "position": "1"}
    client.post("/settings/places/add/", {"key": KEY, **yard})
    order = into_cure(manager, THURSDAY, place=Place.objects.get())
    page = client.get(f"/workorders/{order.pk}/").content.decode()
    assert "It stands outdoors. Film settles indoors: move the car in." in page
