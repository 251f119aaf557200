"""A car that is in is not taken in twice; the desk hears of it while it books."""

from __future__ import annotations

import pytest
from django.utils import timezone

from jobs.bookings.arrival_actions import take_in_car
from jobs.models import WorkOrder
from jobs.stages.table import Stage
from shopapp.frame import Refused
from tests.jobs.taps import do, page, tap
from tests.makers import (
    make_bay,
    make_booking,
    make_person,
    make_vehicle,
    make_workorder,
)

pytestmark = pytest.mark.django_db
SAID = "This car stands in Bay 1 already, on W-"


@pytest.fixture
def desk(client):
    person = make_person("desk", username="ben")
    client.force_login(person)
    return person


@pytest.fixture
def order(desk):
    return make_workorder(at=timezone.now(), bay=make_bay())


def test_a_second_booking_of_it_is_not_taken_in_and_leads_to_its_order(
    client, desk, order
):
    again = make_booking(vehicle=order.vehicle, at=timezone.now())
    with pytest.raises(Refused, match=SAID):
        do(desk, take_in_car, booking_pk=again.pk)
    text = page(client, "arrival_detail", again.pk)
    assert SAID in text
    assert f"/workorders/{order.pk}/additions/" in text


def test_once_it_is_gone_it_is_taken_in_again(desk, order):
    again = make_booking(vehicle=order.vehicle, at=timezone.now())
    order.stage = Stage.CLOSED.value
    order.save()
    do(desk, take_in_car, booking_pk=again.pk)
    assert WorkOrder.objects.filter(vehicle=order.vehicle).count() == 2


def test_the_desk_hears_it_while_it_books(client, desk, order):
    answer = tap(client, "booking_known", vehicle_pk=order.vehicle_id)
    assert SAID in answer.content.decode()
    other = make_vehicle(plate="OTH 1", vin="")
    answer = tap(client, "booking_known", vehicle_pk=other.pk)
    assert SAID not in answer.content.decode()
