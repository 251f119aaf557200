"""A bottle of a kind that the shop does not mix any more keeps its hazards."""

from __future__ import annotations

import pytest
from django.urls import reverse

from mixing.air.hazard_queries import stock_for_safety
from mixing.bench.label_facts import kind_label
from mixing.models import Kind, Recipe, Vessel
from mixing.rule_sets.queries import rules_of
from shopapp.models import the_shop
from tests.makers import make_bench

pytestmark = pytest.mark.django_db


@pytest.fixture
def bottle(db):
    make_bench()
    Recipe.objects.filter(kind=Kind.ALL_IN_ONE).update(in_use=False)
    return Vessel.objects.create(
        code="A9", kind=Kind.ALL_IN_ONE, capacity_ml=950, usable_ml=900
    )


@pytest.mark.parametrize(("width_mm", "height_mm"), [(50, 25), (57, 32), (100, 60)])
def test_its_lasting_label_still_says_that_it_burns(bottle, width_mm, height_mm):
    label = kind_label(bottle, width_mm=width_mm, height_mm=height_mm)
    assert label.signal == "Warning"
    assert "flammable" in label.short_words
    assert "GHS02" in label.pictogram_codes


def test_it_is_still_in_the_check_of_sizes(bottle):
    found = {
        each.name: each.category for each in stock_for_safety(rules_of(the_shop()))
    }
    assert found.get("A9") == 3


def test_its_page_for_labels_opens(client, manager, bottle):
    client.force_login(manager)
    assert (
        client.get(reverse("jobs:label_new", args=["vessel", bottle.pk])).status_code
        == 200
    )
