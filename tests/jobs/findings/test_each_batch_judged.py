"""Likely causes judge each batch that touched the panel, the worst first."""

from __future__ import annotations

import re

import pytest
from django.urls import reverse

from jobs.models import WorkOrder
from jobs.panels.actions import lay_panel, make_all_ready
from jobs.solutions.actions import make_sheet, record_mix
from jobs.stages.table import Stage
from mixing.models import Batch, Vessel
from mixing.sheet.queries import sheet_of
from shopapp.frame import perform
from tests.makers import make_bench, make_reading, make_tap, make_workorder

pytestmark = pytest.mark.django_db


@pytest.fixture
def order(client, installer):
    make_bench()
    workorder = make_workorder(stage=Stage.PREP)
    perform(make_tap(installer), make_all_ready, workorder_pk=workorder.pk)
    WorkOrder.objects.filter(pk=workorder.pk).update(stage=Stage.INSTALL)
    workorder.refresh_from_db()
    make_reading(workorder, installer, panel_c=22.0, air_c=22.0)
    client.force_login(installer)
    return workorder


def mix(order, by, vessel: str, *, kind: str, times: float) -> Batch:
    """One bottle whose last pour is so many times what the sheet asks for."""
    facts = {"workorder_pk": order.pk, "kind": kind}
    bottles = list(Vessel.objects.filter(code=vessel))
    answer = perform(make_tap(by), make_sheet, vessels=bottles, **facts)
    row = order.sheets.get(pk=answer["pk"])
    (solution,) = sheet_of(row.facts).solutions
    first, second = (pour.amount.value for pour in solution.fills[0].pours)
    poured = [[first, second * times]]
    perform(make_tap(by), record_mix, version=row.version, poured=poured, **facts)
    return order.order_batches.latest("pk").batch


def what_is_said(client, order, kind: str) -> str:
    panel = order.panels.get(panel="hood")
    answer = client.get(
        reverse("jobs:workorder_trouble", args=[order.pk]),
        {"kind": kind, "panel": panel.pk},
    )
    return re.sub(r"<[^>]+>|\s+", " ", answer.content.decode())


def lay_the_hood(order, by) -> None:
    hood = order.panels.get(panel="hood")
    perform(make_tap(by), lay_panel, workorder_pk=order.pk, panel_pk=hood.pk)


def test_a_strong_slip_is_found_behind_a_right_one_mixed_later(
    client, order, installer
):
    strong = mix(order, installer, "S1", kind="slip", times=2.5)
    right = mix(order, installer, "S2", kind="slip", times=1)
    lay_the_hood(order, installer)
    text = what_is_said(client, order, "water_pocket")
    found = text[text.index("too much soap in the slip") :]
    assert "the record points to it" in found[:600]
    assert strong.number in found
    assert found.index(strong.number) < found.index(right.number)


def test_a_strong_tack_is_found_behind_a_right_one_mixed_later(
    client, order, installer
):
    """Less water than asked: a stronger tack."""
    strong = mix(order, installer, "T1", kind="tack", times=0.5)
    mix(order, installer, "T2", kind="tack", times=1)
    lay_the_hood(order, installer)
    text = what_is_said(client, order, "lift_line")
    found = text[text.index("tack too strong") :]
    assert "the record points to it" in found[:600]
    assert strong.number in found


def test_a_batch_of_another_car_stands_beside_what_this_order_asked_for(
    client, order, installer
):
    strong = mix(order, installer, "S1", kind="slip", times=2.5)
    order.order_batches.update(sheet=None)
    mix(order, installer, "S2", kind="slip", times=1)
    lay_the_hood(order, installer)
    text = what_is_said(client, order, "water_pocket")
    assert f"Slip {strong.number} held" in text
