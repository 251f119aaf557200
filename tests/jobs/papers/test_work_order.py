"""The work order on paper: what stands on it, what never does, how it is laid out."""

from __future__ import annotations

import io
import json
import logging
import os
import re
from pathlib import Path

import pypdfium2
import pytest
import zxingcpp
from django.conf import settings
from pypdf import PdfReader

from jobs.models import Override, Paper, WorkOrder
from jobs.papers.html_facts import attachments, paper_html
from mixing.sheet import mixing_sheet
from mixing.sheet.queries import sheet_of
from shopapp.models import Shop
from shopapp.printing import Attachment
from tests.jobs.papers.orders import PHONE, ask, make_full_order, pdf_of
from tests.makers import NOW, make_bench, make_workorder

pytestmark = pytest.mark.django_db


@pytest.fixture
def order(manager):
    return make_full_order(manager)


def printed(paper):
    """The PDF of a paper; kept in SHOP_SHOTS where somebody wants to look at it."""
    extra = tuple(Attachment(**each) for each in attachments(paper))
    pdf = pdf_of(paper_html(paper), extra)
    if folder := os.environ.get("SHOP_SHOTS"):
        name = f"{paper.number}-{paper.version}-{paper.size}.pdf"
        Path(folder, name).write_bytes(pdf)
    return pdf


def words(html):
    """The text of a page as it is read, without drawings."""
    return " ".join(re.sub(r"<[^>]+>", " ", html).split())


def page_text(pdf, number):
    text = PdfReader(io.BytesIO(pdf)).pages[number].extract_text()
    return " ".join(text.split())


@pytest.mark.parametrize("size", ["A4", "Letter"])
def test_page_one_holds_what_is_read_standing(order, manager, size):
    pdf = printed(ask(order, manager, size=size))
    page = page_text(pdf, 0)
    expected = [
        "TST 101",
        "dark green",
        "Promised 8 May 2031 10:00",
        "Bay 1",
        "Mara",
        "Parking sensors in the front bumper.",
        "Hood repainted in 2029.",
        "stone chip 3 mm",
        "film A",
        "R1",
        "lot L-1",
        "31 °C",
        "29 °C",
        "62 %",
        "FIRE:",
        "intake",
        "inspection",
    ]
    assert [text for text in expected if text not in page] == []


def test_every_pour_of_the_sheet_stands_on_page_one(order, manager):
    paper = ask(order, manager)
    sheet = sheet_of(paper.facts["sheet"])
    page = page_text(printed(paper), 0)
    wanted = [s for s in sheet.solutions if s.kind.value != "gel" and not s.refusal]
    assert wanted
    for solution in wanted:
        for fill in solution.fills:
            for code in fill.codes:
                assert code in page
            for pour in fill.pours:
                assert f"{pour.amount.value:.1f}".rstrip("0").rstrip(".") in page


@pytest.mark.parametrize("size", ["A4", "Letter"])
def test_page_one_is_one_page_and_the_rest_follows(order, manager, size):
    pdf = printed(ask(order, manager, size=size))
    assert pdf.pages == 5
    assert "Mixing sheet" in page_text(pdf, 1)
    assert "Cut list" in page_text(pdf, 2)
    assert "Safety notes" in page_text(pdf, 3)
    assert "Checks" in page_text(pdf, 4)


@pytest.mark.parametrize("size", ["A4", "Letter"])
def test_many_red_lines_still_leave_page_one_one_page(order, manager, size):
    vehicle = order.vehicle
    vehicle.notes = "Sensors behind the bumper, do not press there. " * 6
    vehicle.finish = "matte"
    vehicle.save()
    order.film.is_directional = True
    order.film.save()
    pdf = printed(ask(WorkOrder.objects.get(pk=order.pk), manager, size=size))
    assert "cure" in page_text(pdf, 0)
    assert "Mixing sheet" in page_text(pdf, 1)


@pytest.mark.parametrize("size", ["A4", "Letter"])
def test_the_safety_block_takes_one_page(order, manager, size):
    pdf = printed(ask(order, manager, size=size))
    assert "stop, ventilate and leave." in page_text(pdf, 3)


def test_the_sheet_has_the_size_that_was_asked_for(order, manager):
    sides = {}
    for size in ("A4", "Letter"):
        box = PdfReader(io.BytesIO(printed(ask(order, manager, size=size)))).pages[0]
        sides[size] = [round(float(box.mediabox[at])) for at in (2, 3)]
    # 210 x 297 mm (ISO 216); 8.5 x 11 in (ANSI/ASME Y14.1, size A); 72 points an inch.
    assert sides == {"A4": [595, 842], "Letter": [612, 792]}


def test_no_price_and_no_phone_stands_on_it(order, manager):
    WorkOrder.objects.filter(pk=order.pk).update(price="1834.50")
    Shop.objects.update(phone="555-0111")
    paper = ask(WorkOrder.objects.get(pk=order.pk), manager)
    kept = json.dumps(paper.facts)
    for secret in (PHONE, "555-0111", "1834", "1800", "USD", "Robin Ash"):
        assert secret not in words(paper_html(paper))
        # Currency is the shop's setting, not a price.
        assert secret in ("USD",) or secret not in kept


def test_the_code_leads_back_to_the_order(order, manager):
    pdf = printed(ask(order, manager))
    image = pypdfium2.PdfDocument(bytes(pdf))[0].render(scale=2).to_pil()
    found = zxingcpp.read_barcodes(image)
    assert [code.text for code in found] == [
        f"{settings.PUBLIC_URL}/workorders/{order.pk}/"
    ]


def test_the_paper_is_tagged_and_titled(order, manager):
    root = PdfReader(io.BytesIO(printed(ask(order, manager)))).trailer["/Root"]
    # ISO 14289-1, sections 5 and 7: marked content, structure, language.
    assert root["/MarkInfo"]["/Marked"]
    assert "/StructTreeRoot" in root
    assert root["/Lang"] == "en"


def test_the_facts_travel_inside_and_read_back(order, manager):
    paper = ask(order, manager)
    read = PdfReader(io.BytesIO(printed(paper)))
    (data,) = read.attachments[f"{paper.number}-v1.json"]
    assert json.loads(data) == paper.facts
    assert sheet_of(json.loads(data)["sheet"]).film_area.value > 0


def test_nothing_is_logged_while_it_is_made(order, manager, caplog):
    pdf_of.cache_clear()
    with caplog.at_level(logging.WARNING):
        printed(ask(order, manager))
    assert [record.message for record in caplog.records] == []


def test_a_paper_printed_ahead_carries_the_strip_and_empty_boxes(manager):
    make_bench(manager)
    order = make_workorder(manager)
    paper = ask(order, manager)
    page = page_text(printed(paper), 0)
    assert "take the column of the warmer" in page
    for head in ("15 °C", "20 °C", "25 °C", "30 °C", "35 °C"):
        assert head in page
    ahead = mixing_sheet(sheet_of(paper.facts["sheet"]).request)
    assert ahead.printed_ahead


def test_a_reason_given_against_a_rule_prints(order, manager):
    Override.objects.create(
        workorder=order,
        rule="prep",
        reason="Customer waits",
        sentence="Two items are open.",
        by=manager,
        at=NOW,
    )
    html = words(paper_html(ask(order, manager)))
    assert "Two items are open." in html
    assert "Customer waits" in html


def test_what_nobody_entered_is_not_assessed_and_named_once(order, manager):
    safety = ask(order, manager).facts["safety"]
    assert safety["state"] in ("NOT ASSESSED", "OVER")
    named = [(need["page"], need["sentence"]) for need in safety["missing"]]
    assert named
    assert len(set(named)) == len(named)


def test_the_shops_words_are_escaped(order, manager):
    vehicle = order.vehicle
    vehicle.notes = "<script>alert(1)</script> & co"
    vehicle.save()
    html = paper_html(ask(WorkOrder.objects.get(pk=order.pk), manager))
    assert "<script>" not in html
    assert "&lt;script&gt;" in html


def test_an_address_in_a_note_is_never_fetched(order, manager, caplog):
    vehicle = order.vehicle
    vehicle.notes = 'see <img src="file:///etc/passwd"> http://example.com/x.png'
    vehicle.save()
    pdf = printed(ask(WorkOrder.objects.get(pk=order.pk), manager))
    assert "example.com/x.png" in page_text(pdf, 0)


def test_us_units_stand_on_a_us_shops_paper(order, manager):
    Shop.objects.update(units="us")
    page = page_text(printed(ask(order, manager)), 0)
    assert "88 °F" in page  # 31 °C: 31 x 1.8 + 32 = 87.8


def test_care_instructions_hold_dates_and_nothing_internal(order, manager):
    paper = ask(order, manager, kind=Paper.Kind.CARE)
    pdf = printed(paper)
    assert pdf.pages == 1
    page = page_text(pdf, 0)
    # Taken on Tuesday 6 May 2031; a week without a wash (common practice).
    assert "Tue 13 May" in page
    assert "Robin Ash" in page
    for inner in ("R1", "L-1", "TST-", "stone chip", order.key_tag + " "):
        assert inner not in page.replace("W-", "")
