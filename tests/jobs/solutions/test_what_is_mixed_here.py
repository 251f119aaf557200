"""What this shop mixes, how long it keeps and how warm a panel may be are settings."""

from __future__ import annotations

import pytest
from django.urls import reverse
from django.utils import timezone

from jobs.solutions.request_queries import sheet_request
from jobs.stages.table import Stage
from mixing.models import Batch, Kind, Recipe
from mixing.recipes.default_actions import load_defaults
from shopapp.frame import perform
from tests.jobs.solutions.test_mixing import mix
from tests.jobs.taps import page, tap
from tests.makers import (
    make_bench,
    make_container,
    make_reading,
    make_tap,
    make_vessel,
    make_workorder,
)

pytestmark = pytest.mark.django_db

USUAL = {
    "kinds": ["slip", "tack"],
    "slip_days": "2",
    "tack_days": "7",
    "all_in_one_days": "2",
    "gel_days": "7",
    "cold_c": "10",
    "hot_c": "35",
    "too_hot_c": "45",
}


@pytest.fixture
def order(client, manager):
    """A full front in install in a new shop, read on a mild day."""
    client.force_login(manager)
    perform(make_tap(manager), load_defaults)
    make_container("C1", strength_pct=91.0, strength_basis="vv")
    for code, kind in (("S1", Kind.SLIP), ("T1", Kind.TACK), ("A1", Kind.ALL_IN_ONE)):
        make_vessel(code, kind)
    workorder = make_workorder(manager, stage=Stage.INSTALL)
    make_reading(workorder, manager, at=timezone.now(), panel_c=22, air_c=22, rh_pct=50)
    return workorder


def kinds_of_the_sheet(order) -> list[str]:
    request = sheet_request(order, at=timezone.now())
    return [recipe.kind.value for recipe in request.recipes]


def test_a_new_shop_begins_with_slip_and_tack(client, order):
    assert kinds_of_the_sheet(order) == ["slip", "tack"]
    shown = page(client, "workorder_mixing", order.pk)
    assert "All-in-one" not in shown
    assert "gel" not in shown.lower()


def test_an_order_of_a_new_shop_waits_for_slip_and_tack_only(client, manager):
    client.force_login(manager)
    perform(make_tap(manager), load_defaults)
    order = make_workorder(manager, stage=Stage.PREP)
    order.panels.update(ready_at=timezone.now())
    tap(client, "workorder_advance", order.pk, to="install")
    waiting = order.solutions.values_list("kind", flat=True)
    assert sorted(waiting) == ["slip", "tack"]


def test_the_settings_say_what_this_shop_mixes(client, manager):
    client.force_login(manager)
    shown = client.get(reverse("shopapp:settings")).content.decode()
    assert "What is mixed here, how long it keeps" in shown


def test_an_upgraded_shop_loses_no_solution_that_it_mixed(manager):
    make_bench()
    perform(make_tap(manager), load_defaults)
    assert not Recipe.objects.filter(in_use=False).exists()


def test_ticking_a_solution_brings_it_onto_the_sheet(client, order):
    typed = {**USUAL, "kinds": ["slip", "tack", "all_in_one", "gel"]}
    assert tap(client, "laying_change", **typed).status_code == 303
    assert kinds_of_the_sheet(order) == ["slip", "tack", "all_in_one", "gel"]


def test_what_was_mixed_stays_on_the_order_after_it_is_unticked(client, order, manager):
    Recipe.objects.update(in_use=True)
    mix(order, manager, "all_in_one", "A1")
    tap(client, "laying_change", **USUAL)
    make_reading(order, manager, at=timezone.now(), panel_c=33, air_c=25, rh_pct=50)
    assert "all_in_one" in kinds_of_the_sheet(order)
    assert "All-in-one" in page(client, "workorder_mixing", order.pk)


def test_a_solution_that_is_not_mixed_any_more_holds_no_car(client, order, manager):
    Recipe.objects.update(in_use=True)
    order.solutions.create(kind="all_in_one", round=1)
    tap(client, "laying_change", **USUAL)
    assert "all-in-one: waiting" not in page(client, "workorder_detail", order.pk)


def test_the_shop_sets_how_long_a_bottle_keeps(client, order, manager):
    tap(client, "laying_change", **{**USUAL, "slip_days": "0"})
    mix(order, manager, "slip", "S1")
    batch = Batch.objects.get()
    assert (batch.use_by - batch.mixed_at).total_seconds() < 86_400


def test_the_shop_sets_when_a_panel_is_too_hot(client, order, manager):
    tap(client, "laying_change", **{**USUAL, "hot_c": "21", "too_hot_c": "21.5"})
    shown = page(client, "workorder_mixing", order.pk)
    assert "over" in shown
    assert "nobody lays film" in shown
    answer = tap(client, "workorder_mix_start", order.pk, "slip", vessels=["S1"])
    assert answer.status_code == 422


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ({"kinds": []}, "Tick at least one solution."),
        ({"hot_c": "5"}, "Each limit lies above the one before it"),
        ({"tack_days": "400"}, "90"),
        ({"cold_c": "warm"}, "Enter a number."),
    ],
)
def test_what_cannot_be_is_refused_and_what_was_typed_stays(
    client, manager, typed, sentence
):
    client.force_login(manager)
    perform(make_tap(manager), load_defaults)
    answer = tap(client, "laying_change", **{**USUAL, **typed})
    assert answer.status_code == 422
    assert sentence in answer.content.decode()


def test_an_installer_does_not_set_it(client, installer):
    client.force_login(installer)
    assert tap(client, "laying_change", **USUAL).status_code == 403
