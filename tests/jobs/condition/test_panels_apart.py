"""One car, panels of different warmth: one mix by the hottest, and a word on it."""

from __future__ import annotations

import re

import pytest
from django.utils import timezone

from jobs.stages.table import Stage
from tests.jobs.taps import page, tap
from tests.makers import make_bench, make_reading, make_workorder

pytestmark = pytest.mark.django_db


def words(html: str) -> str:
    """A page as it is read, without what its numbers open to."""
    shut = re.sub(r'<div class="figure-body">.*?</details>', " ", html, flags=re.S)
    bare = re.sub(r"<[^>]+>", " ", shut)
    return " ".join(bare.replace("Where does this number come from?", "").split())


@pytest.fixture
def order(client, manager):
    """A full front in install with a bench."""
    client.force_login(manager)
    make_bench()
    return make_workorder(manager, stage=Stage.INSTALL)


def read(order, by, panel: str, panel_c: float, air_c: float = 24, rh_pct: float = 50):
    facts = {"panel": panel, "panel_c": panel_c, "air_c": air_c, "rh_pct": rh_pct}
    make_reading(order, by, at=timezone.now(), **facts)


def test_panels_far_apart_are_said_above_laid(client, order, manager):
    read(order, manager, "hood", 34)
    read(order, manager, "front_fender_left", 24)
    shown = words(page(client, "workorder_panels", order.pk))
    assert "Far apart: hood at 34 °C , front fender, left at 24 °C" in shown
    assert "One mix goes by the hottest" in shown


def test_the_mix_follows_the_hottest_panel_to_be_laid(client, order, manager):
    read(order, manager, "hood", 34)
    read(order, manager, "front_fender_left", 24)
    shown = words(page(client, "workorder_mixing", order.pk))
    assert "Soap follows 34 °C" in shown


def test_a_panel_that_is_laid_counts_no_more(client, order, manager):
    read(order, manager, "hood", 34)
    read(order, manager, "front_fender_left", 24)
    order.panels.filter(panel="hood").update(laid_at=timezone.now(), laid_round=1)
    assert "One mix goes by" not in page(client, "workorder_panels", order.pk)
    shown = words(page(client, "workorder_mixing", order.pk))
    assert "Front fender, left 24 °C" in shown


def test_a_reading_of_the_car_replaces_those_of_panels(client, order, manager):
    read(order, manager, "hood", 34)
    read(order, manager, "", 23)
    shown = words(page(client, "workorder_mixing", order.pk))
    assert "Panel 23 °C" in shown


def test_a_cold_panel_whose_edges_will_not_dry_is_named(client, order, manager):
    read(order, manager, "hood", 26, rh_pct=80)
    read(order, manager, "front_fender_left", 19, rh_pct=80)
    shown = words(page(client, "workorder_panels", order.pk))
    assert "front fender, left ( 19 °C ) is below the dew point" in shown


def test_the_form_asks_which_panel_was_read(client, order):
    shown = page(client, "workorder_panels", order.pk, do="reading")
    assert "the car as it is" in shown
    typed = {"panel_c": "30", "air_c": "24", "rh_pct": "50"}
    answer = tap(client, "reading_take", order.pk, panel="hood", **typed)
    assert answer.status_code == 303
    assert order.order_readings.get().panel == "hood"
    wrong = tap(client, "reading_take", order.pk, panel="roof_rack", **typed)
    assert wrong.status_code == 422
