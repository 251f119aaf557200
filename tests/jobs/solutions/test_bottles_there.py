"""Bottles that stand there: offered again, scanned, poured over."""

from __future__ import annotations

import pytest
from django.urls import reverse
from django.utils import timezone

from jobs.models import WorkOrder
from jobs.solutions.actions import make_sheet, record_mix
from jobs.stages.table import Stage
from mixing.models import Batch, Vessel
from mixing.sheet.queries import sheet_of
from tests.jobs.taps import do, page, tap
from tests.makers import (
    make_bench,
    make_booking,
    make_customer,
    make_reading,
    make_vehicle,
    make_workorder,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def client(client, installer):
    """An installer's tablet."""
    client.force_login(installer)
    return client


@pytest.fixture
def order(installer):
    """A full front in install, read, with a bench beside it."""
    make_bench()
    now = timezone.now()
    workorder = make_workorder(stage=Stage.INSTALL, at=now)
    make_reading(workorder, installer, at=now)
    return workorder


def mixed(order, by, kind, *codes):
    """A batch of this order in these vessels, as planned."""
    chosen = list(Vessel.objects.filter(code__in=codes))
    made = do(by, make_sheet, workorder_pk=order.pk, kind=kind, vessels=chosen)
    (solution,) = sheet_of(order.sheets.get(pk=made["pk"]).facts).solutions
    poured = [[pour.amount.value for pour in fill.pours] for fill in solution.fills]
    facts = {"workorder_pk": order.pk, "version": made["version"], "kind": kind}
    return Batch.objects.get(pk=do(by, record_mix, **facts, poured=poured)["pk"])


def another_order(installer):
    """Another car in install, read."""
    now = timezone.now()
    car = make_vehicle(make_customer("Kim Oak"), plate="TST 202")
    workorder = make_workorder(
        booking=make_booking(vehicle=car, at=now), stage=Stage.INSTALL, at=now
    )
    make_reading(workorder, installer, at=now)
    return workorder


def test_a_redo_is_offered_the_bottles_of_the_same_car_with_their_dose(
    client, order, installer
):
    batch = mixed(order, installer, "slip", "S1", "S2")
    WorkOrder.objects.filter(pk=order.pk).update(round=2)
    shown = page(client, "workorder_mix", order.pk, "slip")
    assert batch.number in shown
    assert f"{1000 * batch.soap_ml / batch.volume_ml:.2f}" in shown
    assert "Use it again" in shown
    answer = tap(client, "workorder_mix_take", order.pk, batch_pk=batch.pk)
    assert answer.status_code == 303
    rounds = order.order_batches.values_list("batch", "round")
    assert sorted(rounds) == [(batch.pk, 1), (batch.pk, 2)]


def test_the_car_s_own_bottles_stand_before_those_of_another(client, order, installer):
    own = mixed(order, installer, "tack", "T1")
    other = mixed(another_order(installer), installer, "tack", "T2")
    WorkOrder.objects.filter(pk=order.pk).update(round=2)
    shown = page(client, "workorder_mix", order.pk, "tack")
    assert own.number in shown
    assert shown.index(own.number) < shown.index(other.number)


def test_a_bottle_mixed_for_another_car_is_offered_with_its_strength(
    client, order, installer
):
    batch = mixed(another_order(installer), installer, "tack", "T2")
    shown = page(client, "workorder_mix", order.pk, "tack")
    offer = shown[shown.index("Mixed already") :]
    assert f"{batch.vv_pct:.1f}" in offer


@pytest.mark.parametrize(
    ("kind", "code", "why"),
    [
        ("tack", "S1", "S1 is a slip vessel for life"),
        ("tack", "T2", "T2 is not rinsed yet"),
    ],
)
def test_a_scan_of_the_wrong_bottle_says_which_and_why(client, order, kind, code, why):
    Vessel.objects.filter(code="T2").update(state=Vessel.State.TO_RINSE)
    answer = tap(client, "workorder_mix_scan", order.pk, kind, code=code)
    assert why in answer.content.decode()
    assert answer.status_code == 422


def test_a_bottle_is_poured_over_only_into_one_of_its_kind(client, order, installer):
    mixed(order, installer, "tack", "T1")
    shown = page(client, "workorder_mixing", order.pk)
    into = shown[shown.index("to_vessel") :]
    into = into[: into.index("</select>")]
    assert ">S1<" not in into
    assert ">T2<" in into


def test_a_scan_that_may_be_filled_is_chosen(client, order):
    answer = tap(client, "workorder_mix_scan", order.pk, "tack", code="t1")
    assert answer.status_code == 303
    where = reverse("jobs:workorder_mix", args=[order.pk, "tack"])
    assert answer["Location"] == f"{where}?vessel=T1"
