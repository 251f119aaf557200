"""What is read on screen and paper follows the newest reading; only pours stay."""

from __future__ import annotations

import re

import pytest
from django.urls import reverse
from django.utils import timezone

from jobs.coverage.catalogue import Package
from jobs.models import OrderSheet, Paper
from jobs.papers.actions import issue_paper
from jobs.papers.html_facts import paper_html
from jobs.solutions.actions import make_sheet, record_mix
from jobs.stages.table import Stage
from mixing.models import Vessel
from mixing.sheet.queries import sheet_of
from shopapp.frame import perform
from tests.makers import (
    make_bench,
    make_booking,
    make_reading,
    make_tap,
    make_workorder,
)

pytestmark = pytest.mark.django_db


def words(html: str) -> str:
    """A page as it is read, without what its numbers open to."""
    shut = re.sub(r'<div class="figure-body">.*?</details>', " ", html, flags=re.S)
    bare = re.sub(r"<[^>]+>", " ", shut)
    return " ".join(bare.replace("Where does this number come from?", "").split())


def mixed(order, by, kind, *codes):
    """Mix a solution as planned, now."""
    vessels = list(Vessel.objects.filter(code__in=codes))
    facts = {"workorder_pk": order.pk, "kind": kind}
    now = timezone.now()
    answer = perform(make_tap(by, at=now), make_sheet, **facts, vessels=vessels)
    sheet = sheet_of(OrderSheet.objects.get(pk=answer["pk"]).facts)
    (solution,) = sheet.solutions
    poured = [[pour.amount.value for pour in fill.pours] for fill in solution.fills]
    perform(
        make_tap(by, at=now),
        record_mix,
        **facts,
        version=answer["version"],
        poured=poured,
    )


@pytest.fixture
def order(manager):
    """A full front that was read on a mild dry morning, its slip mixed by that."""
    make_bench()
    workorder = make_workorder(manager, stage=Stage.INSTALL, at=timezone.now())
    read(workorder, manager, panel_c=24, air_c=25, rh_pct=50)
    mixed(workorder, manager, "slip", "S1")
    return workorder


def read(workorder, by, **reading):
    make_reading(workorder, by, at=timezone.now(), **reading)


def mixing_page(client, workorder) -> str:
    url = reverse("jobs:workorder_mixing", args=[workorder.pk])
    return words(client.get(url).content.decode())


def test_the_mixing_page_follows_a_reading_that_changes_no_pour(client, order, manager):
    client.force_login(manager)
    read(order, manager, panel_c=23, air_c=25, rh_pct=90)
    page = mixing_page(client, order)
    assert "Humidity 90 %" in page
    assert "below the dew point" in page


def test_page_and_paper_say_what_their_pours_were_worked_out_for(
    client, order, manager
):
    client.force_login(manager)
    read(order, manager, panel_c=23, air_c=25.4, rh_pct=50)
    page = mixing_page(client, order)
    assert "The pours were worked out for 25 °C" in page


@pytest.mark.parametrize("kind", ["work_order", "mixing_sheet"])
def test_a_paper_gives_one_dew_point_margin(order, manager, kind):
    read(order, manager, panel_c=23, air_c=25, rh_pct=95)
    answer = perform(
        make_tap(manager, at=timezone.now()),
        issue_paper,
        workorder_pk=order.pk,
        kind=kind,
        size="A4",
    )
    page = words(paper_html(Paper.objects.get(pk=answer["pk"])))
    assert "below the dew point" in page
    assert "panel above it by 10.1 K" not in page


def test_the_pours_stay_as_they_were_kept(order, manager):
    before = OrderSheet.objects.count()
    read(order, manager, panel_c=23.5, air_c=25, rh_pct=70)
    assert OrderSheet.objects.count() == before


CAR_13 = [
    (18, 19, 45),
    (20, 20, 50),
    (22, 22, 50),
    (24, 23, 45),
    (22, 22, 70),
    (28, 28, 40),
]
"""Panel, air, humidity of ordinary days; a hood takes 20 minutes to place."""


@pytest.mark.parametrize(("panel_c", "air_c", "rh_pct"), CAR_13)
def test_an_ordinary_day_is_laid_with_slip(client, manager, panel_c, air_c, rh_pct):
    client.force_login(manager)
    make_bench()
    booking = make_booking(manager, package=Package.FULL_FRONT, at=timezone.now())
    order = make_workorder(manager, booking=booking, stage=Stage.INSTALL)
    read(order, manager, panel_c=panel_c, air_c=air_c, rh_pct=rh_pct)
    page = mixing_page(client, order)
    assert "lay with slip" in page
    assert "lay with slip and gel" not in page
    assert "lay with gel" not in page


def test_a_hot_panel_is_not_mixed_for(client, order, manager):
    client.force_login(manager)
    read(order, manager, panel_c=47, air_c=30, rh_pct=40)
    page = mixing_page(client, order)
    assert "over 45 °C nobody lays film" in page
    assert "lay with" not in page


def test_page_one_says_dew_margin_slip_and_what_is_wrong(order, manager):
    read(order, manager, panel_c=38, air_c=30, rh_pct=50)
    answer = perform(
        make_tap(manager, at=timezone.now()),
        issue_paper,
        workorder_pk=order.pk,
        kind="work_order",
        size="A4",
    )
    page = words(paper_html(Paper.objects.get(pk=answer["pk"])))
    page_one = page[: page.index("Mixing sheet")]
    assert "Shade it, cool it down and measure again." in page_one
    assert "Above dew point 19.6 K" in page_one
