"""A vessel filled up over a rest is one bottle: what to add is said once."""

from __future__ import annotations

import re
from datetime import timedelta

import pytest
from django.utils import timezone

from jobs.solutions.bottle_queries import vessels_to_fill_up
from mixing.models import Batch
from tests.jobs.solutions import test_filled_up
from tests.jobs.solutions.test_filled_up import fill_up, mixed
from tests.jobs.taps import page
from tests.makers import make_reading

pytestmark = pytest.mark.django_db
client, order = test_filled_up.client, test_filled_up.order


def test_soap_for_a_bottle_that_was_filled_up_is_asked_for_once(
    client, order, installer
):
    mixed(order, installer, "slip", "S1", "S2")
    fill_up(client, order, "slip", "S1", "300")
    facts = {"air_c": 30.0, "rh_pct": 50.0, "panel_c": 33.0}
    make_reading(order, installer, at=timezone.now(), **facts)
    shown = re.sub(r"<[^>]+>", " ", page(client, "workorder_mixing", order.pk))
    to = re.findall(r"of baby shampoo to (?:each of )?([S\d, ]+) while", shown)
    codes = [code for each in to for code in each.split(", ")]
    assert sorted(codes) == ["S1", "S2"]


def test_filling_up_makes_a_bottle_last_no_longer_and_says_what_is_in_it(
    client, order, installer
):
    first = mixed(order, installer, "slip", "S1")
    earlier = timezone.now() + timedelta(hours=5)
    Batch.objects.filter(pk=first.pk).update(use_by=earlier)
    fill_up(client, order, "slip", "S1", "300")
    shown = re.sub(r"<[^>]+>", " ", page(client, "workorder_mix", order.pk, "slip"))
    rest = " ".join(shown.split("Fill up over what is left")[1].split())[:200]
    assert "mL/L" in rest
    (only,) = vessels_to_fill_up("slip", at=timezone.now())
    assert only.use_by == earlier
