"""A car whose panels lie apart: order, mixing, panels and paper say the same of it."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from django.utils import timezone

from jobs.stages.table import Stage
from mixing.flash_points.queries import class_of_mix
from mixing.rule_sets.queries import rules_of
from mixing.safety.flash_measurement import Mix
from mixing.sheet.standing import capacity_says
from shopapp.models import the_shop
from tests.jobs.taps import page
from tests.makers import make_bench, make_reading, make_workorder

pytestmark = pytest.mark.django_db


def words(html: str) -> str:
    """A page as it is read, without what its numbers open to."""
    shut = re.sub(r'<div class="figure-body">.*?</details>', " ", html, flags=re.S)
    bare = re.sub(r"<[^>]+>", " ", shut)
    return " ".join(bare.replace("Where does this number come from?", "").split())


@pytest.fixture
def order(client, manager):
    """A full front in install, a hot hood read first and a cool fender after it."""
    client.force_login(manager)
    make_bench()
    order = make_workorder(manager, stage=Stage.INSTALL)
    for panel, panel_c in (("hood", 40), ("front_fender_left", 24)):
        facts = {"panel": panel, "panel_c": panel_c, "air_c": 23, "rh_pct": 50}
        make_reading(order, manager, at=timezone.now(), **facts)
    return order


def test_the_fire_line_goes_by_the_hottest_panel_too(client, order):
    shown = words(page(client, "workorder_detail", order.pk))
    assert "The panel ( 40 °C ) is as warm as" in shown


def test_the_reading_names_its_panels(client, order):
    for name in ("workorder_detail", "workorder_panels"):
        shown = words(page(client, name, order.pk))
        assert "Hood 40 °C Front fender, left 24 °C Air 23 °C" in shown


def test_a_mix_flashes_like_the_strongest_that_it_may_be():
    mix = Mix(kind="tack", recipe="tack-1", vv_pct=17.7, vv_high_pct=18.3)
    found = class_of_mix(mix, known=None, rules=rules_of(the_shop()))
    strongest = replace(mix, vv_pct=18.3)
    assert found == class_of_mix(strongest, known=None, rules=rules_of(the_shop()))


def test_two_millilitres_are_no_reason_to_mix_again():
    assert capacity_says(volume_ml=1900, needed_ml=1902) == ()
    assert capacity_says(volume_ml=1800, needed_ml=1902)
