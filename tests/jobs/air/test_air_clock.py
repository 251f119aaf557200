"""What settings do to the air of the cars in the shop reaches the floor by a clock."""

from __future__ import annotations

from datetime import timedelta

import pytest

from jobs.air.actions import go_over_the_air
from jobs.models import OrderAir, WorkOrder
from jobs.path.queries import floor
from tests.makers import NOW, make_bay, make_bench, make_reading, make_workorder

pytestmark = pytest.mark.django_db


def test_a_change_of_settings_reaches_the_floor_by_the_clock(installer):
    make_bench(installer)
    order = make_workorder(bay=make_bay())
    make_reading(order, installer)
    WorkOrder.objects.filter(pk=order.pk).update(stage="install")
    bay = order.bay
    bay.exhaust_m3_per_h = None
    bay.save()
    assert go_over_the_air(now=NOW + timedelta(minutes=1)) == 0
    assert go_over_the_air(now=NOW + timedelta(minutes=6)) == 1
    (spot,) = floor(now=NOW).bays
    assert "NOT ASSESSED" in str(spot.fire.sentence)


def test_a_car_of_before_is_not_assessed_until_the_clock_comes(installer):
    order = make_workorder(bay=make_bay())
    WorkOrder.objects.filter(pk=order.pk).update(stage="install")
    OrderAir.objects.all().delete()
    (spot,) = floor(now=NOW).bays
    assert spot.fire.state == "NOT ASSESSED"
    assert go_over_the_air(now=NOW) == 1
