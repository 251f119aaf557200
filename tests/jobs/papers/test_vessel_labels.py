"""Labels of vessels: at any size, to be read by eyes and by a photo."""

from __future__ import annotations

import os
from pathlib import Path

import pypdfium2
import pytest
import zxingcpp
from django.urls import reverse

from jobs.models import OrderBatch, Paper
from jobs.papers.actions import issue_label
from jobs.papers.html_facts import paper_html
from jobs.solutions.actions import make_sheet, record_mix
from jobs.stages.table import Stage
from mixing.models import Batch, Fill, KindMark, Vessel
from mixing.sheet.queries import sheet_of
from shopapp.frame import Refused, perform
from shopapp.models import BackgroundTask, Person, Shop
from shopapp.printing import pdf_from_html
from tests.makers import (
    make_bench,
    make_booking,
    make_customer,
    make_reading,
    make_tap,
    make_vehicle,
    make_workorder,
)

pytestmark = pytest.mark.django_db

MM_PER_POINT = 25.4 / 72
DOTS_PER_MM = 8
"""203 dpi, as a plain label printer has."""
LEAST_PT = 5.0
"""The smallest print of the small label; our own limit, looked at on paper."""


@pytest.fixture
def batch(installer):
    """Two tack bottles mixed for an order."""
    make_bench()
    # A shop that wants labels of fillings beside the lasting ones.
    Shop.objects.update(has_batch_labels=True)
    order = make_workorder(stage=Stage.INSTALL)
    make_reading(order, installer)
    bottles = list(Vessel.objects.filter(kind="tack"))
    facts = {"workorder_pk": order.pk, "kind": "tack"}
    perform(make_tap(installer), make_sheet, vessels=bottles, **facts)
    row = order.sheets.first()
    (solution,) = sheet_of(row.facts).solutions
    poured = [[pour.amount.value for pour in fill.pours] for fill in solution.fills]
    perform(
        make_tap(installer), record_mix, version=row.version, poured=poured, **facts
    )
    return Batch.objects.get()


def paper(by, subject, size):
    answer = perform(make_tap(by), issue_label, subject=subject, size=size)
    return Paper.objects.get(pk=answer["pk"])


def rendered(row):
    """The pages of a label paper as a label printer would put them down."""
    pdf = pdf_from_html(paper_html(row))
    document = pypdfium2.PdfDocument(bytes(pdf))
    if folder := os.environ.get("SHOP_SHOTS"):
        for number, page in enumerate(document):
            name = f"label-{row.number}-{row.size}-{number}.png".replace(" ", "-")
            page.render(scale=DOTS_PER_MM * 2 * MM_PER_POINT).to_pil().save(
                Path(folder) / name
            )
    return document


def size_mm(page):
    return tuple(round(side * MM_PER_POINT, 1) for side in page.get_size())


def codes(page):
    picture = page.render(scale=DOTS_PER_MM * MM_PER_POINT).to_pil()
    return sorted(found.text for found in zxingcpp.read_barcodes(picture))


def words(page):
    return page.get_textpage().get_text_bounded()


def text_sizes(page):
    """Heights of the print, in points."""
    return {
        round(found.get_font_size(), 1)
        for found in page.get_objects(filter=[pypdfium2.raw.FPDF_PAGEOBJ_TEXT])
    }


def inside(page):
    """Whether every word stands within the page."""
    width, height = page.get_size()
    boxes = [
        found.get_bounds()
        for found in page.get_objects(filter=[pypdfium2.raw.FPDF_PAGEOBJ_TEXT])
    ]
    return all(
        left >= 0 and bottom >= 0 and right <= width and top <= height
        for left, bottom, right, top in boxes
    )


@pytest.mark.parametrize("size", ["57x32", "100x60"])
def test_a_permanent_label_is_one_page_of_its_size_with_a_code_that_reads(
    batch, installer, size
):
    vessel = Vessel.objects.get(code="T1")
    (page,) = rendered(paper(installer, f"vessel {vessel.pk}", size))
    assert size_mm(page) == tuple(float(side) for side in size.split("x"))
    assert codes(page) == ["T1"]
    text = words(page)
    for told in ("T1", "TACK", "Warning", "H226", "H319", "isopropyl alcohol"):
        assert told in text, told
    # Only the larger one is complete: precautions and where they come from.
    assert ("P210" in text) == ("safety data sheet decides" in text)
    assert ("P210" in text) == (size == "100x60")


@pytest.mark.parametrize("size", ["57x32", "100x60"])
def test_a_fill_label_says_whose_batch_it_is_and_until_when(batch, installer, size):
    fill = batch.fills.get(vessel__code="T2")
    (page,) = rendered(paper(installer, f"fill {fill.pk}", size))
    assert codes(page) == ["T2"]
    text = words(page)
    for told in (batch.number, "W-31-0001", "17.7", "mixed", "discard by", "Warning"):
        assert told in text, told


def test_no_print_of_the_small_label_is_too_small_to_read(batch, installer):
    fill = batch.fills.get(vessel__code="T2")
    (page,) = rendered(paper(installer, f"fill {fill.pk}", "57x32"))
    assert min(text_sizes(page)) >= LEAST_PT


@pytest.mark.parametrize("size", ["57x32", "90x55"])
def test_the_fullest_label_keeps_all_its_words(batch, installer, size):
    vessel = Vessel.objects.get(code="A1")
    Vessel.objects.filter(pk=vessel.pk).update(code="SPRAYER8")
    Person.objects.filter(pk=installer.pk).update(first_name="Maximilian-Theodor")
    fill = Fill.objects.create(batch=batch, vessel=vessel, volume_ml=950)
    other = make_workorder(
        booking=make_booking(
            vehicle=make_vehicle(make_customer("Kim Oak"), plate="TST 202")
        )
    )
    OrderBatch.objects.create(workorder=other, batch=batch, round=1)
    (page,) = rendered(paper(installer, f"fill {fill.pk}", size))
    text = words(page)
    for told in ("SPRAYER8", "ALL-IN-ONE", "W-31-0001, W-31-0002", "not assessed"):
        assert told in text, told
    assert inside(page)
    assert codes(page) == ["SPRAYER8"]


@pytest.mark.parametrize("size", ["40x20", "50x25", "60x40", "89x54", "148x105"])
def test_any_size_keeps_its_words_on_one_page_and_its_code_readable(
    batch, installer, size
):
    fill = batch.fills.get(vessel__code="T1")
    (page,) = rendered(paper(installer, f"fill {fill.pk}", size))
    assert codes(page) == ["T1"]
    assert "TACK" in words(page)
    assert inside(page)


@pytest.mark.parametrize(
    ("sheet", "sides"), [("A4", (210, 297)), ("Letter", (216, 279))]
)
def test_many_labels_stand_on_one_sheet(batch, installer, sheet, sides):
    (page,) = rendered(paper(installer, "shop 1", f"57x32 {sheet}"))
    assert size_mm(page) == pytest.approx(sides, abs=0.5)
    known = Vessel.objects.values_list("code", flat=True)
    assert codes(page) == sorted(known)


def test_labels_that_do_not_fit_one_sheet_go_on_on_the_next(batch, installer):
    pages = list(rendered(paper(installer, "shop 1", "100x60 A4")))
    assert len(pages) == 2
    found = [code for page in pages for code in codes(page)]
    assert sorted(found) == sorted(Vessel.objects.values_list("code", flat=True))


def test_a_label_printer_gets_a_page_for_each_vessel_of_a_batch(batch, installer):
    pages = rendered(paper(installer, f"batch {batch.pk}", "57x32"))
    assert [codes(page) for page in pages] == [["T1"], ["T2"]]


def test_the_vessels_of_one_kind_are_labelled_together(batch, installer):
    mark = KindMark.objects.get(kind="slip")
    row = paper(installer, f"kind {mark.pk}", "57x32")
    assert row.number == "VESSELS-slip"
    shown = [each["label"]["code"] for each in row.facts["labels"]]
    assert shown == ["S1", "S2", "S3", "S4"]


def test_a_size_that_is_none_is_refused_in_words(batch, installer):
    with pytest.raises(Refused, match="20 to 300 mm"):
        paper(installer, "shop 1", "10x32")
    with pytest.raises(Refused, match="40 to 300 mm wide"):
        paper(installer, "shop 1", "30x20")


def test_an_emptied_batch_has_nothing_to_label(batch, installer):
    batch.fills.update(emptied_at=batch.mixed_at)
    with pytest.raises(Refused, match="no vessel to label"):
        paper(installer, f"batch {batch.pk}", "57x32")


def test_labels_are_two_taps_from_the_batch(client, batch, installer):
    client.force_login(installer)
    page = client.get(reverse("mixing:batch_detail", args=[batch.pk])).content.decode()
    address = reverse("jobs:label_issue", args=["batch", batch.pk])
    assert address in page
    answer = client.post(address, {"key": "k" * 16, "size": "57x32"})
    row = Paper.objects.get()
    assert answer.url == reverse("jobs:paper_detail", args=[row.pk])
    assert row.size == "57x32"
    assert BackgroundTask.objects.filter(subject=f"paper {row.pk}").exists()


def test_a_size_of_ones_own_comes_back_with_a_sentence(client, batch, installer):
    client.force_login(installer)
    address = reverse("jobs:label_issue", args=["batch", batch.pk])
    data = {"key": "k" * 16, "size": "other", "width_mm": "wide", "height_mm": "40"}
    answer = client.post(address, data)
    assert answer.status_code == 422
    assert 'value="wide"' in answer.content.decode()
    data |= {"key": "l" * 16, "width_mm": "70", "sheet": "A4"}
    client.post(address, data)
    assert Paper.objects.get().size == "70x40 A4"
