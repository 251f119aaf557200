"""The owner says how long a package takes; the records say what it took."""

from __future__ import annotations

from datetime import UTC, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from hypothesis import given
from hypothesis import strategies as st

from jobs.coverage.catalogue import Package
from jobs.models import OrderPanel, PackageHours, PlanRule
from jobs.opening.hours import Opening
from jobs.package_hours.queries import hours_of, took
from jobs.package_hours.took import NEWEST, Laid, took_h, took_said
from jobs.stages.table import Stage
from shopapp.figures import explain
from tests import makers

CHICAGO = ZoneInfo("America/Chicago")
OPENING = Opening(opens_at=time(8), closes_at=time(18))
TYPED = {"prep_min": "", "laying_h": "", "helper_h": "", "nights": "", "ready_from": ""}
KEY = {"key": "a-key-of-one-press"}


def at(day, hour, minute=0):
    return datetime(2031, 5, day, hour, minute, tzinfo=CHICAGO)


@pytest.mark.parametrize(
    ("begins", "ends", "hours"),
    [
        (at(6, 9), at(6, 16, 30), 7.5),
        (at(6, 16), at(7, 10), 4.0),
        # Friday afternoon to Monday morning.
        (at(9, 17), at(12, 9), 2.0),
        (at(6, 6), at(6, 7), 0.0),
        (at(6, 6), at(6, 22), 10.0),
    ],
)
def test_only_opening_hours_count(begins, ends, hours):
    assert OPENING.open_h(begins, ends) == hours


moments = st.integers(0, 60 * 24 * 14).map(lambda m: at(1, 0) + timedelta(minutes=m))


@given(moments, moments, moments)
def test_opening_hours_add_up(one, two, three):
    first, middle, last = sorted((one, two, three))
    parts = OPENING.open_h(first, middle) + OPENING.open_h(middle, last)
    assert OPENING.open_h(first, last) == pytest.approx(parts)


def cars(*hours):
    return [
        Laid(number=f"W{n}", began_at=at(6, 8), ended_at=at(6, 8) + timedelta(hours=h))
        for n, h in enumerate(hours)
    ]


def test_the_records_say_shortest_to_longest():
    took_now = took_h(cars(7, 10, 8), opening=OPENING)
    assert took_now is not None
    assert (took_now.low, took_now.value, took_now.high) == (7, 8, 10)
    assert dict(took_now.inputs) == {"W0": 7.0, "W1": 10.0, "W2": 8.0}
    assert str(took_said(took_now)) == "Your last 3 took 7 to 10 h."
    assert "records" in explain(took_now.made_by).source


def test_one_car_says_what_it_took():
    one = took_h(cars(7.5), opening=OPENING)
    assert one is not None
    assert str(took_said(one)) == "Your last one took 7.5 h."


def test_no_more_than_the_newest_ten_count():
    many = took_h(cars(*[8] * NEWEST, 1), opening=OPENING)
    assert many is not None
    assert (many.low, len(many.inputs)) == (8, NEWEST)


def test_a_car_laid_outside_opening_hours_says_nothing():
    early = Laid(number="W1", began_at=at(6, 5), ended_at=at(6, 7))
    assert took_h([early], opening=OPENING) is None


def a_closed_car(number, package="full_front", *, day=6, hours=8, **fields):
    booking = makers.make_booking(package=package)
    order = makers.make_workorder(
        number=number,
        booking=booking,
        stage=Stage.CLOSED,
        handed_over_at=at(day + 1, 12).astimezone(UTC),
        **fields,
    )
    order.panels.all().delete()
    for panel, minutes in (("hood", 30), ("front_bumper", hours * 60)):
        OrderPanel.objects.create(
            workorder=order,
            panel=panel,
            ready_at=at(day, 8),
            laid_at=at(day, 8) + timedelta(minutes=minutes),
        )
    return order


@pytest.mark.django_db
def test_took_reads_closed_cars_of_each_package():
    a_closed_car("W1", hours=7)
    a_closed_car("W2", hours=9)
    a_closed_car("W3", "track", hours=5)
    a_closed_car("W4", hours=1, round=2)
    found = took()
    full_front = found[Package.FULL_FRONT]
    assert (full_front.low, full_front.high) == (7, 9)
    assert found[Package.TRACK].value == 5
    assert Package.FULL_VEHICLE not in found


@pytest.mark.django_db
def test_took_asks_as_often_for_many_cars_as_for_one():
    a_closed_car("W1")
    with CaptureQueriesContext(connection) as one:
        took()
    for number in range(2, 6):
        a_closed_car(f"W{number}", "track")
    with CaptureQueriesContext(connection) as many:
        took()
    assert len(one) == len(many)


@pytest.mark.django_db
def test_what_was_learned_stands_beside_and_changes_nothing(client):
    client.force_login(makers.make_person("manager"))
    PackageHours.objects.create(package="full_front", laying_min=360)
    a_closed_car("W1", hours=7)
    a_closed_car("W2", hours=9)
    page = client.get("/settings/package-hours/").content.decode()
    assert "Your last 2 took 7 to 9 h." in page
    assert 'name="laying_h" value="6"' in page
    assert hours_of(Package.FULL_FRONT).laying_min == 360


@pytest.mark.django_db
def test_hours_are_typed_and_minutes_kept(client):
    client.force_login(makers.make_person("manager"))
    url = "/settings/package-hours/full_front/change/"
    typed = TYPED | {"laying_h": "7.25", "nights": "2", "ready_from": "morning"}
    response = client.post(url, typed | KEY)
    row = PackageHours.objects.get()
    assert response.status_code == 303
    assert (row.prep_min, row.laying_min, row.nights) == (None, 435, 2)
    page = client.get("/settings/package-hours/").content.decode()
    assert 'name="laying_h" value="7.25"' in page
    assert "Hours of a package" in client.get("/settings/changes/").content.decode()


@pytest.mark.django_db
def test_a_helper_stays_no_longer_than_the_work(client):
    client.force_login(makers.make_person("manager"))
    url = "/settings/package-hours/full_vehicle/change/"
    response = client.post(url, TYPED | {"laying_h": "3"} | KEY)
    page = response.content.decode()
    assert response.status_code == 422
    assert "The second person stays no longer than the film work takes." in page
    assert 'name="laying_h" value="3"' in page
    assert not PackageHours.objects.exists()


@pytest.mark.django_db
def test_a_package_that_there_is_not_is_not_found(client):
    client.force_login(makers.make_person("manager"))
    url = "/settings/package-hours/boat/change/"
    assert client.post(url, TYPED | KEY).status_code == 404


@pytest.mark.django_db
def test_how_the_shop_plans_is_kept(client):
    client.force_login(makers.make_person("manager"))
    url = "/settings/package-hours/plan/change/"
    typed = {"freeze_h": "2", "cutters": "0", "cut_min": "45"}
    assert client.post(url, typed | KEY).status_code == 303
    rule = PlanRule.objects.get()
    assert (rule.freeze_h, rule.cutters, rule.cut_min) == (2, 0, 45)
