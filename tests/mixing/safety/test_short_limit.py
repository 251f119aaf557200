"""The 15-minute limit belongs to the 8-hour one that was chosen."""

from __future__ import annotations

import pytest

from mixing.safety.block import safety_block
from shopapp.models import the_shop
from tests.mixing.safety.safety_job import tack_only

KEY = "k" * 16


def limit_at(limit_ppm):
    line = safety_block(tack_only(limit_ppm=limit_ppm)).line("short")
    return line.figures[1].value


@pytest.mark.parametrize(
    ("chosen_ppm", "short_ppm"),
    # exposure_limits.csv: hygienists' advice 200 and 400, federal advice 400 and 500.
    [(200.0, 400.0), (300.0, 400.0), (100.0, 400.0)],
)
def test_the_short_limit_follows_the_one_that_was_chosen(chosen_ppm, short_ppm):
    assert limit_at(chosen_ppm) == short_ppm


def test_beside_the_federal_limit_stands_the_federal_advice():
    assert limit_at(400.0) == 500.0


@pytest.mark.django_db
def test_a_shop_may_enter_its_own_15_minute_limit(client, manager):
    client.force_login(manager)
    page = client.get("/settings/local-code/").content.decode()
    assert "15-minute limit" in page
    facts = {"vapour_limit_ppm": "200", "jurisdiction": "United States"}
    url = "/settings/local-code/change/"
    low = {"key": KEY, **facts, "vapour_short_limit_ppm": "150"}
    answer = client.post(url, low)
    assert answer.status_code == 422
    assert "does not lie below" in answer.content.decode()
    client.post(url, {"key": "m" * 16, **facts, "vapour_short_limit_ppm": "300"})
    assert the_shop().vapour_short_limit_ppm == 300


def test_the_entered_limit_counts_unless_the_rules_are_stricter():
    own = tack_only(limit_ppm=200.0, own_short_limit_ppm=300.0)
    assert safety_block(own).line("short").figures[1].value == 300.0
    loose = tack_only(limit_ppm=200.0, own_short_limit_ppm=900.0)
    assert safety_block(loose).line("short").figures[1].value == 500.0
