"""New film asks once, can be undone, and closes the defects of film that is gone."""

from __future__ import annotations

import re

import pytest
from django.urls import reverse

from jobs.models import Defect, FinalLook, WorkOrder
from jobs.panels.actions import lay_panel
from jobs.panels.inspection_actions import open_defect, redo_panel
from jobs.stages.table import Stage
from jobs.workorders.actions import advance_stage
from tests.jobs.taps import do, events, make_order, page, tap

pytestmark = pytest.mark.django_db


@pytest.fixture
def order(client, installer):
    client.force_login(installer)
    return make_order(installer, stage=Stage.INSPECTION)


def defect_on(order, by, panel: str, kind: str = "dirt") -> Defect:
    row = order.panels.get(panel=panel)
    facts = {"workorder_pk": order.pk, "panel_pk": row.pk, "kind": kind}
    return Defect.objects.get(pk=do(by, open_defect, size_mm=5.0, **facts)["pk"])


def redo(order, by, defect) -> None:
    do(by, redo_panel, workorder_pk=order.pk, defect_pk=defect.pk)


def test_new_film_says_what_happens_before_it_is_pressed(client, installer, order):
    defect_on(order, installer, "hood")
    defect_on(order, installer, "hood", "cut")
    text = re.sub(r"<[^>]+>|\s+", " ", page(client, "workorder_panels", order.pk))
    assert "The film on the hood comes off." in text
    assert "One other defect goes with this film." in text
    assert "Yes, new film for the hood" in text


def test_older_defects_go_with_the_film_that_is_gone(client, installer, order):
    older = defect_on(order, installer, "hood")
    redo(order, installer, defect_on(order, installer, "hood", "cut"))
    older.refresh_from_db()
    assert older.state != Defect.State.OPEN
    do(installer, lay_panel, workorder_pk=order.pk, panel_pk=older.order_panel_id)
    older.refresh_from_db()
    assert older.state == Defect.State.REDONE


def test_new_film_can_be_taken_back_and_all_is_as_it_was(client, installer, order):
    older = defect_on(order, installer, "hood")
    defect = defect_on(order, installer, "hood", "cut")
    before = WorkOrder.objects.values().get(pk=order.pk)
    laid = order.panels.values().get(panel="hood")
    redo(order, installer, defect)
    text = page(client, "workorder_panels", order.pk)
    assert "No new film after all" in text
    answer = tap(client, "defect_redo_undo", order.pk, defect.pk)
    assert answer.status_code == 303
    assert WorkOrder.objects.values().get(pk=order.pk) == before
    assert order.panels.values().get(panel="hood") == laid
    states = Defect.objects.filter(pk__in=[older.pk, defect.pk])
    assert {each.state for each in states} == {Defect.State.OPEN}
    assert not order.solutions.filter(round=2).exists()
    assert events(order)[-1] == "redo_undone"


def test_a_redo_that_the_final_look_found_goes_back_to_cure(client, installer, order):
    do(installer, advance_stage, workorder_pk=order.pk, to=Stage.CURE)
    defect = defect_on(order, installer, "hood")
    redo(order, installer, defect)
    assert FinalLook.objects.exists()
    tap(client, "defect_redo_undo", order.pk, defect.pk)
    order.refresh_from_db()
    assert (order.stage_now, order.round) == (Stage.CURE, 1)
    assert not FinalLook.objects.exists()


def test_it_cannot_be_taken_back_once_new_film_is_on(client, installer, order):
    defect = defect_on(order, installer, "hood")
    redo(order, installer, defect)
    do(installer, lay_panel, workorder_pk=order.pk, panel_pk=defect.order_panel_id)
    answer = tap(client, "defect_redo_undo", order.pk, defect.pk)
    assert answer.status_code == 422
    assert "There is new film on this panel already." in answer.content.decode()


def test_a_second_panel_of_the_round_goes_back_first(client, installer, order):
    first = defect_on(order, installer, "hood")
    second = defect_on(order, installer, "mirror_left")
    redo(order, installer, first)
    redo(order, installer, second)
    answer = tap(client, "defect_redo_undo", order.pk, first.pk)
    assert "take that back first" in answer.content.decode()
    tap(client, "defect_redo_undo", order.pk, second.pk)
    assert tap(client, "defect_redo_undo", order.pk, first.pk).status_code == 303
    order.refresh_from_db()
    assert (order.stage_now, order.round) == (Stage.INSPECTION, 1)


def test_other_panels_can_be_looked_at_while_one_gets_new_film(
    client, installer, order
):
    other = order.panels.get(panel="mirror_left")
    redo(order, installer, defect_on(order, installer, "hood"))
    text = page(client, "workorder_panels", order.pk)
    assert reverse("jobs:panel_look", args=[order.pk, other.pk]) in text


def test_a_panel_is_laid_anew_in_each_round_and_once_in_it(client, installer, order):
    do(installer, advance_stage, workorder_pk=order.pk, to=Stage.INSTALL)
    hood = order.panels.get(panel="hood")
    assert hood.laid_round == 1
    assert tap(client, "panel_lay", order.pk, hood.pk).status_code == 303
    hood.refresh_from_db()
    assert hood.laid_round == 2
    again = tap(client, "panel_lay", order.pk, hood.pk)
    assert again.status_code == 422
    assert "This panel is laid already." in again.content.decode()
