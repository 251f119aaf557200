"""What stands at a pour: draws of a syringe, and what is to be said of the water."""

from __future__ import annotations

import re

import pytest
from django.utils import timezone

from jobs.models import Paper
from jobs.papers.actions import issue_paper
from jobs.papers.html_facts import paper_html
from jobs.stages.table import Stage
from mixing.models import Vessel, WaterTest
from shopapp.frame import perform
from tests.jobs.taps import page
from tests.makers import make_bench, make_reading, make_tap, make_vessel, make_workorder

pytestmark = pytest.mark.django_db


def words(html: str) -> str:
    """A page as it is read, without what its numbers open to."""
    shut = re.sub(r'<div class="figure-body">.*?</details>', " ", html, flags=re.S)
    bare = re.sub(r"<[^>]+>", " ", shut)
    return " ".join(bare.replace("Where does this number come from?", "").split())


@pytest.fixture
def order(client, manager):
    """A full front in install with a bench, read on a mild day."""
    client.force_login(manager)
    make_bench()
    workorder = make_workorder(manager, stage=Stage.INSTALL)
    read(workorder, manager)
    return workorder


def read(workorder, by) -> None:
    make_reading(workorder, by, at=timezone.now(), panel_c=22, air_c=22, rh_pct=50)


def mixing_page(client, order) -> str:
    return words(page(client, "workorder_mixing", order.pk))


def paper(order, by, kind: str) -> str:
    answer = perform(
        make_tap(by, at=timezone.now()),
        issue_paper,
        workorder_pk=order.pk,
        kind=kind,
        size="A4",
    )
    return words(paper_html(Paper.objects.get(pk=answer["pk"])))


def keep_test(source: str, **values) -> None:
    WaterTest.objects.create(source=source, tested_on="2026-11-01", **values)


def test_two_draws_of_a_syringe_are_said(client, order, manager):
    Vessel.objects.filter(kind="slip").update(retired=True)
    make_vessel("SP", "slip", capacity_ml=4000, usable_ml=3000)
    read(order, manager)
    assert "It takes 2 draws." in mixing_page(client, order)
    assert "It takes 2 draws." in paper(order, manager, "mixing_sheet")


def test_one_draw_is_not_counted(client, order):
    assert "draws" not in mixing_page(client, order)


def test_deionised_water_is_called_so(client, order):
    keep_test("di", tds_mg_per_l=8.0)
    shown = mixing_page(client, order)
    assert "Source deionised" in shown
    assert "distilled" not in shown


def test_chip_and_sentence_agree_on_the_water(client, order):
    keep_test("tap", tds_mg_per_l=450.0)
    shown = mixing_page(client, order)
    assert "450 mg/L leaves spots under film" in shown
    assert "450 mg/L good" not in shown


def test_the_word_on_the_water_stands_at_its_pour(client, order, manager):
    keep_test("tap", tds_mg_per_l=450.0)
    shown = mixing_page(client, order)
    sentence = "use distilled water, it leaves spots under film."
    first_pour = shown.index("baby shampoo 5 mL syringe")
    assert shown.index(sentence) < first_pour
    sheet = paper(order, manager, "mixing_sheet")
    assert sheet.index(sentence) < sheet.index("of baby shampoo")
