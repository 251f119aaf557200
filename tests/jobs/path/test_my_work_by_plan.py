"""My work: what the plan has for a person today and tomorrow."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from jobs.models import BayPlan
from jobs.plan.planned import ShopPlan, Step
from jobs.plan.shop import Part
from jobs.plan.stored import plan_to_json
from tests.makers import make_bay, make_booking, make_vehicle, make_workorder

pytestmark = pytest.mark.django_db


@pytest.fixture
def tablet(client, installer):
    client.force_login(installer)
    return client


@pytest.fixture
def bay():
    return make_bay()


def step(booking, bay, person, *, begins_h, lasts_h=2, part=Part.INSTALL):
    start = timezone.now() + timedelta(hours=begins_h)
    return Step(
        car=f"booking-{booking.pk}",
        part=part,
        starts_at=start,
        ends_at=start + timedelta(hours=lasts_h),
        spot=f"bay-{bay.pk}",
        people=(f"person-{person.pk}",) if person else (),
    )


def stands(*steps):
    BayPlan.objects.all().delete()
    facts = plan_to_json(ShopPlan(as_of=timezone.now(), steps=steps, cars=()))
    BayPlan.objects.create(state=BayPlan.State.STANDING, problem_hash="x", facts=facts)


def booked(number=1):
    vehicle = make_vehicle(plate=f"TST {number}")
    return make_booking(vehicle=vehicle, at=timezone.now())


def work_of(client):
    return client.get(reverse("jobs:my_work")).content.decode()


def test_a_car_that_comes_tomorrow_is_there_before_it_is_here(tablet, installer, bay):
    stands(step(booked(), bay, installer, begins_h=24))
    page = work_of(tablet)
    assert "Tomorrow by the plan" in page
    assert "TST 1" in page
    assert "film work, Bay 1" in page
    assert "not here yet" in page


def test_what_goes_on_today_is_said_with_its_part(tablet, installer, bay):
    order = make_workorder(booking=booked(), at=timezone.now())
    stands(
        step(order.booking, bay, installer, begins_h=-1, part=Part.PREP),
        step(order.booking, bay, installer, begins_h=72),
    )
    page = work_of(tablet)
    assert "Today by the plan" in page
    assert "prep, Bay 1" in page
    assert f"/workorders/{order.pk}/" in page
    assert "not here yet" not in page
    assert "film work" not in page


def test_work_of_others_is_not_shown(tablet, installer, desk, bay):
    stands(
        step(booked(), bay, desk, begins_h=1), step(booked(2), bay, None, begins_h=1)
    )
    assert "by the plan" not in work_of(tablet)


def test_without_a_plan_the_page_is_as_it_was(tablet):
    assert "No car has your name on it." in work_of(tablet)


def test_my_work_asks_the_same_queries_however_many_cars(tablet, installer, bay):
    def queries():
        with CaptureQueriesContext(connection) as asked:
            work_of(tablet)
        return len(asked)

    bookings = [booked()]
    stands(*(step(each, bay, installer, begins_h=1) for each in bookings))
    work_of(tablet)
    few = queries()
    bookings += [booked(number) for number in range(2, 7)]
    stands(*(step(each, bay, installer, begins_h=1) for each in bookings))
    assert queries() == few
