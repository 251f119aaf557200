"""A vessel filled up over what is left of the same recipe: both batches stay tied."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from jobs.panels.actions import lay_panel
from jobs.solutions.actions import make_sheet, record_mix
from jobs.stages.table import Stage
from mixing.bench.actions import empty_vessels
from mixing.models import Batch, Fill, Recipe, Vessel
from mixing.recipes.actions import change_recipe
from mixing.sheet.queries import newest_versions, sheet_of, spec_of
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
    """A full front in install, read at 22 °C, with a bench beside it."""
    make_bench()
    now = timezone.now()
    workorder = make_workorder(stage=Stage.INSTALL, at=now)
    make_reading(workorder, installer, at=now, air_c=22.0, rh_pct=50.0, panel_c=22.0)
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
    make_reading(workorder, installer, at=now, air_c=22.0, rh_pct=50.0, panel_c=22.0)
    return workorder


def fill_up(client, order, kind, code, left):
    """Type what is left in a vessel, begin, pour as asked, keep."""
    begun = tap(client, "workorder_mix_start", order.pk, kind, **{f"left_{code}": left})
    assert begun.status_code == 303, begun.content.decode()[-3000:]
    version = order.sheets.latest("version").version
    solution = sheet_of(order.sheets.latest("version").facts).solutions[0]
    answers = ["ok"] * sum(len(fill.pours) for fill in solution.fills)
    kept = tap(client, "workorder_mix_record", order.pk, kind, version, p=answers)
    assert kept.status_code == 303
    return Batch.objects.latest("pk")


def test_a_bottle_of_the_same_recipe_is_filled_up_over_what_is_left(
    client, order, installer
):
    first = mixed(order, installer, "slip", "S1")
    shown = page(client, "workorder_mix", order.pk, "slip")
    assert "Fill up over what is left" in shown
    assert 'name="left_S1"' in shown
    second = fill_up(client, order, "slip", "S1", "300")
    assert second.volume_ml == pytest.approx(650, rel=0.02)
    assert 1000 * second.soap_ml / second.volume_ml == pytest.approx(2.1, rel=0.1)
    held = Fill.objects.filter(vessel__code="S1", emptied_at__isnull=True)
    assert {fill.batch for fill in held} == {first, second}
    shown = client.get(reverse("mixing:vessel_detail", args=["S1"])).content.decode()
    assert "both batches are in it" in shown


def test_both_batches_are_kept_with_what_is_laid_from_a_bottle_that_was_filled_up(
    client, order, installer
):
    first = mixed(order, installer, "slip", "S1")
    other = another_order(installer)
    assert 'name="left_S1"' in page(client, "workorder_mix", other.pk, "slip")
    second = fill_up(client, other, "slip", "S1", "300")
    panel = other.panels.first()
    other.panels.update(ready_at=timezone.now())
    do(installer, lay_panel, workorder_pk=other.pk, panel_pk=panel.pk)
    assert set(panel.batches.all()) == {first, second}


def test_a_bottle_past_its_time_is_not_filled_up(client, order, installer):
    mixed(order, installer, "slip", "S1")
    mixed(order, installer, "slip", "S2")
    late = Batch.objects.get(fills__vessel__code="S2")
    Batch.objects.filter(pk=late.pk).update(use_by=timezone.now() - timedelta(hours=1))
    shown = page(client, "workorder_mix", order.pk, "slip")
    assert 'name="left_S1"' in shown
    assert 'name="left_S2"' not in shown


def test_a_bottle_of_another_recipe_is_not_filled_up(client, order, installer, manager):
    mixed(order, installer, "tack", "T1")
    assert 'name="left_T1"' in page(client, "workorder_mix", order.pk, "tack")
    spec = replace(spec_of(newest_versions()["tack"]), vv_pct=19.0, key="tack-2")
    recipe = Recipe.objects.get(kind="tack")
    do(manager, change_recipe, recipe_pk=recipe.pk, spec=spec, why="too weak")
    assert 'name="left_T1"' not in page(client, "workorder_mix", order.pk, "tack")


def test_what_is_left_at_the_end_is_shared_by_both_batches(client, order, installer):
    first = mixed(order, installer, "slip", "S1")
    assert 'name="left_S1"' in page(client, "workorder_mix", order.pk, "slip")
    second = fill_up(client, order, "slip", "S1", "300")
    s1 = list(Vessel.objects.filter(code="S1"))
    do(installer, empty_vessels, vessels=s1, left_ml={"S1": 95.0})
    left = {fill.batch: fill.left_ml for fill in Fill.objects.all()}
    assert left[first] == pytest.approx(30, abs=1)
    assert left[second] == pytest.approx(65, abs=1)


def test_more_than_it_held_cannot_be_left(client, order, installer):
    mixed(order, installer, "slip", "S1")
    answer = tap(client, "workorder_mix_start", order.pk, "slip", left_S1="2000")
    assert "Enter 1 to 9" in answer.content.decode()
    assert answer.status_code == 422
