"""The safety block: what is left out is never zero; the careful end meets a limit."""

from __future__ import annotations

from datetime import timedelta

import pytest

from jobs.air.prep_actions import use_prep
from jobs.models import OrderBatch
from jobs.stages.table import Stage
from mixing.models import Batch, Chemical, Kind, RecipeVersion, Substance
from mixing.recipes.spec import SolutionKind, trade_recipe
from mixing.sheet import mixing_sheet
from mixing.sheet.request import SheetRequest
from mixing.sheet.stored import solution_to_json
from shopapp.frame import perform
from tests.makers import (
    NOW,
    make_bench,
    make_container,
    make_reading,
    make_tap,
    make_workorder,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def order():
    make_bench()
    return make_workorder(stage=Stage.INSTALL)


def product(substance, **fields):
    """An open container of a product whose sheet says this."""
    code = f"X{Chemical.objects.count()}"
    container = make_container(code, substance)
    Chemical.objects.filter(pk=container.chemical.pk).update(
        sheet_dated="2026-01-05", **fields
    )
    return Chemical.objects.get(pk=container.chemical.pk)


def mixed(order, kind, **facts):
    """A batch of this kind on the order."""
    version = RecipeVersion.objects.filter(recipe__kind=kind).first()
    recipes = (trade_recipe(SolutionKind(kind)),)
    sheet = mixing_sheet(SheetRequest(film_area_m2=1.0, recipes=recipes))
    batch = Batch.objects.create(
        facts=solution_to_json(sheet.solutions[0]),
        number=f"B-{kind}",
        kind=kind,
        recipe_version=version,
        volume_ml=950,
        mixed_at=NOW,
        use_by=NOW + timedelta(days=2),
        **facts,
    )
    OrderBatch.objects.create(workorder=order, batch=batch, round=order.round)


def said(client, order):
    """The block's page as plain words."""
    page = client.get(f"/workorders/{order.pk}/safety/").content.decode()
    return " ".join(page.replace("&nbsp;", " ").replace("\u202f", " ").split())


def test_before_a_reading_the_soap_of_a_slip_counts_by_its_recipe(
    client, installer, order
):
    """0.2 to 0.4 % by mass is over the 0.1 % of a skin sensitiser: HCS App. A.4."""
    product(Substance.SOAP, hazard_codes="H317, H318")
    client.force_login(installer)
    words = said(client, order)
    assert "Slip: no hazard elements" not in words
    assert "May cause an allergic skin reaction" in words


def test_a_gel_is_classed_labelled_and_collected_by_its_own_sheet(
    client, installer, order
):
    product(Substance.GEL, hazard_codes="H226, H318", flash_point_c=40.0)
    mixed(order, Kind.GEL)
    client.force_login(installer)
    words = said(client, order)
    assert "Gel: not classified as flammable" not in words
    assert "Gel: flammable category 3" in words
    assert "Causes serious eye damage" in words
    assert "Collect leftover Gel as ignitable waste" in words


def test_a_gel_that_burns_asks_what_evaporates_from_it(client, installer, order):
    product(Substance.GEL, hazard_codes="H226")
    mixed(order, Kind.GEL)
    client.force_login(installer)
    assert "What evaporates from Gel" in said(client, order)


def test_leftovers_of_a_wipe_are_ignitable_waste(client, installer, order):
    """50 % v/v is over the 24 % of 40 CFR 261.21(a)(1)."""
    wipe = Chemical.objects.create(
        name="panel wipe",
        substance=Substance.WIPE,
        strength_pct=50.0,
        strength_basis="vv",
        hazard_codes="H225, H319, H336",
    )
    use = {"workorder_pk": order.pk, "chemical": wipe, "litres": 0.2}
    perform(make_tap(installer), use_prep, **use)
    client.force_login(installer)
    words = said(client, order)
    assert "Collect leftover panel wipe as ignitable waste" in words
    assert "panel wipe: flammable category 2; H225 H319 H336" in words


def test_a_remover_may_be_listed_waste(client, installer, order):
    remover = Chemical.objects.create(
        name="tar remover", substance=Substance.REMOVER, hazard_codes="H226, H304"
    )
    use = {"workorder_pk": order.pk, "chemical": remover, "litres": 0.2}
    perform(make_tap(installer), use_prep, **use)
    client.force_login(installer)
    words = said(client, order)
    assert "tar remover: flammable category 3; H226 H304" in words
    assert "A solvent may be listed waste too" in words


def test_every_code_of_a_soap_reaches_the_block(client, installer, order):
    product(Substance.SOAP, hazard_codes="H304, H318, H334")
    client.force_login(installer)
    words = said(client, order)
    assert "H304 H334 of its data sheets, not worked into the label" in words


def test_a_mix_whose_range_reaches_24_percent_is_collected_as_ignitable(
    client, installer, order
):
    """40 CFR 261.21(a)(1): less than 24 % alcohol by volume."""
    mixed(order, Kind.TACK, vv_pct=23.93, vv_low_pct=23.3, vv_high_pct=24.5)
    client.force_login(installer)
    words = said(client, order)
    assert "Leftover Tack is not counted as ignitable waste" not in words
    assert "Leftover Tack may hold" in words


def test_a_label_cut_off_is_met_by_the_strongest_that_a_mix_may_be(
    client, installer, order
):
    """10 % by mass is 12.4 % v/v: HCS App. A.3 and the density table."""
    mixed(order, Kind.TACK, vv_pct=12.3, vv_low_pct=11.9, vv_high_pct=12.7)
    client.force_login(installer)
    words = said(client, order)
    assert "H319 Causes serious eye irritation" in words
    assert "the strongest it may be" in words


def test_a_mix_that_may_pass_2_percent_is_not_called_harmless(client, installer, order):
    mixed(order, Kind.TACK, vv_pct=1.9, vv_low_pct=1.4, vv_high_pct=2.4)
    client.force_login(installer)
    words = said(client, order)
    assert "Tack: 1.9 % v/v, not classified as flammable" not in words
    assert "taken as flammable category 3" in words


def test_a_mix_in_the_middle_of_its_class_stays_ok(client, installer, order):
    make_reading(order, installer)
    mixed(order, Kind.TACK, vv_pct=17.7, vv_low_pct=17.2, vv_high_pct=18.2)
    client.force_login(installer)
    words = said(client, order)
    assert "Leftover Tack is not counted as ignitable waste" in words
