"""One lasting label a vessel: what it holds and its hazards, whatever its size."""

from __future__ import annotations

import os
from pathlib import Path

import pypdfium2
import pytest
import zxingcpp
from django.urls import reverse

from jobs.models import Paper
from jobs.papers.actions import issue_label
from jobs.papers.html_facts import paper_html
from jobs.solutions.actions import make_sheet, record_mix
from jobs.stages.table import Stage
from mixing.models import Batch, Chemical, Substance, Vessel
from mixing.sheet.queries import sheet_of
from shopapp.frame import perform
from shopapp.printing import pdf_from_html
from tests.makers import (
    make_bench,
    make_container,
    make_reading,
    make_tap,
    make_workorder,
)

pytestmark = pytest.mark.django_db
DOTS_PER_MM, MM_PER_POINT = 8, 25.4 / 72
LEAST_PT = 5.0


@pytest.fixture
def batch(installer):
    """A tack bottle mixed for an order; soap and gel with their sheets read."""
    make_bench()
    soap = make_container("C2", Substance.SOAP)
    gel = make_container("C3", Substance.GEL)
    Chemical.objects.filter(pk=soap.chemical.pk).update(
        hazard_codes="H315, H317, H318", sheet_dated="2026-01-05"
    )
    Chemical.objects.filter(pk=gel.chemical.pk).update(
        hazard_codes="H226, H318", sheet_dated="2026-01-05"
    )
    order = make_workorder(stage=Stage.INSTALL)
    make_reading(order, installer)
    bottles = list(Vessel.objects.filter(code="T1"))
    facts = {"workorder_pk": order.pk, "kind": "tack"}
    perform(make_tap(installer), make_sheet, vessels=bottles, **facts)
    row = order.sheets.first()
    (solution,) = sheet_of(row.facts).solutions
    poured = [[pour.amount.value for pour in fill.pours] for fill in solution.fills]
    version = {"version": row.version, "poured": poured}
    perform(make_tap(installer), record_mix, **version, **facts)
    return Batch.objects.get()


def page_of(by, subject, size):
    answer = perform(make_tap(by), issue_label, subject=subject, size=size)
    row = Paper.objects.get(pk=answer["pk"])
    page = pypdfium2.PdfDocument(bytes(pdf_from_html(paper_html(row))))[0]
    if folder := os.environ.get("SHOP_SHOTS"):
        name = f"lasting-{row.number}-{row.size}.png".replace(" ", "-")
        picture = page.render(scale=DOTS_PER_MM * 2 * MM_PER_POINT).to_pil()
        picture.save(Path(folder) / name)
    return page


def words(page):
    return " ".join(page.get_textpage().get_text_bounded().split())


def inside(page):
    width, height = page.get_size()
    boxes = [
        found.get_bounds()
        for found in page.get_objects(filter=[pypdfium2.raw.FPDF_PAGEOBJ_TEXT])
    ]
    return all(
        left >= 0 and bottom >= 0 and right <= width and top <= height
        for left, bottom, right, top in boxes
    )


SMALL, LARGE = ["40x20", "50x25"], ["57x32", "70x40", "100x60"]


def names_all(by, size):
    vessel = Vessel.objects.get(code="T1")
    page = page_of(by, f"vessel {vessel.pk}", size)
    text = words(page)
    for told in ("T1", "TACK", "isopropyl alcohol", "Warning", "lammable"):
        assert told.lower() in text.lower(), told
    assert inside(page)
    picture = page.render(scale=DOTS_PER_MM * MM_PER_POINT).to_pil()
    assert [found.text for found in zxingcpp.read_barcodes(picture)] == ["T1"]


@pytest.mark.parametrize("size", SMALL)
def test_a_small_label_names_what_burns_in_it_and_its_hazards(batch, installer, size):
    names_all(installer, size)


@pytest.mark.parametrize("size", LARGE)
def test_a_large_label_does_too(batch, installer, size):
    names_all(installer, size)


def test_from_57_by_32_mm_on_the_pictograms_stand_on_it(batch, installer):
    vessel = Vessel.objects.get(code="T1")
    subject = f"vessel {vessel.pk}"
    answer = perform(make_tap(installer), issue_label, subject=subject, size="57x32")
    (label,) = Paper.objects.get(pk=answer["pk"]).facts["labels"]
    assert len(label["pictograms"]) == 2


def test_a_filled_bottle_gets_the_lasting_label(batch, installer):
    """Batch and discard-by are read by scanning it."""
    text = words(page_of(installer, f"batch {batch.pk}", "57x32"))
    assert batch.number not in text
    assert "discard by" not in text
    assert "isopropyl alcohol" in text


def test_a_gel_bottle_carries_the_hazards_of_its_own_sheet(batch, installer):
    vessel = Vessel.objects.get(code="G1")
    text = words(page_of(installer, f"vessel {vessel.pk}", "100x60"))
    assert "Danger" in text
    assert "H226" in text
    assert "H318" in text


@pytest.mark.parametrize("size", SMALL + LARGE)
def test_the_fullest_label_stays_inside_and_readable(batch, installer, size):
    """All-in-one: alcohol, and a soap of three hazards."""
    Vessel.objects.filter(code="A1").update(code="SPRAYER8")
    vessel = Vessel.objects.get(code="SPRAYER8")
    page = page_of(installer, f"vessel {vessel.pk}", size)
    text = words(page)
    for told in ("SPRAYER8", "ALL-IN-ONE", "isopropyl alcohol", "baby shampoo"):
        assert told in text, told
    assert "Warning" in text
    assert "llerg" in text
    assert inside(page)
    sizes = {
        round(found.get_font_size(), 1)
        for found in page.get_objects(filter=[pypdfium2.raw.FPDF_PAGEOBJ_TEXT])
    }
    assert min(sizes) >= LEAST_PT


def test_the_rule_for_immediate_use_is_said_where_labels_are_printed(
    client, batch, installer
):
    """29 CFR 1910.1200(f)(8) and (c): that person, within that shift."""
    client.force_login(installer)
    page = client.get(reverse("mixing:batch_detail", args=[batch.pk])).content.decode()
    assert "uses up in this shift" in page
    assert "1910.1200(f)(8)" in page


def test_a_shop_may_want_labels_of_fillings_too(client, batch, manager):
    client.force_login(manager)
    page = client.get("/settings/shop/").content.decode()
    assert "A label of its own for each filling" in page
