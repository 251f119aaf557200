"""Paper: what is printed, and what a paper may never fetch."""

from __future__ import annotations

import io
import logging

import pytest
from pypdf import PdfReader
from weasyprint.urls import FatalURLFetchingError

from shopapp.printing import Attachment, pdf_from_html

PAGE = """<!doctype html><html lang="en"><head><meta charset="utf-8">
<title>A paper</title>{head}</head><body><h1>Pour 185 mL</h1>{body}</body></html>"""
SECOND = '<p style="break-before: page">Second page</p>'


def page(body: str = "", head: str = "") -> str:
    return PAGE.format(body=body, head=head)


def test_a_paper_has_its_text_its_pages_and_its_size():
    pdf = pdf_from_html(page(SECOND, "<style>@page { size: A4 }</style>"))
    read = PdfReader(io.BytesIO(pdf))
    assert pdf.pages == len(read.pages) == 2
    assert "Pour 185 mL" in read.pages[0].extract_text()
    # A4 is 210 x 297 mm (ISO 216), a point 1/72 inch.
    box = read.pages[0].mediabox
    assert [float(box.width), float(box.height)] == pytest.approx(
        [210 / 25.4 * 72, 297 / 25.4 * 72], abs=0.1
    )


def test_a_paper_is_tagged_and_says_its_language_and_title():
    root = PdfReader(io.BytesIO(pdf_from_html(page()))).trailer["/Root"]
    # ISO 14289-1, sections 5 and 7: identification, marked content, structure,
    # language, title shown.
    assert root["/MarkInfo"]["/Marked"]
    assert "/StructTreeRoot" in root
    assert root["/Lang"] == "en"
    assert root["/ViewerPreferences"]["/DisplayDocTitle"]
    assert b"pdfuaid" in root["/Metadata"].get_data()


def test_facts_travel_inside_the_paper():
    facts = Attachment(name="facts.json", data=b'{"a": 1}', description="The facts")
    read = PdfReader(io.BytesIO(pdf_from_html(page(), attachments=[facts])))
    assert read.attachments["facts.json"] == [b'{"a": 1}']


def test_our_static_files_are_found_and_nothing_is_logged(caplog):
    sheet = '<link rel="stylesheet" href="/static/shopapp/print.css">'
    with caplog.at_level(logging.WARNING, "weasyprint"):
        pdf = pdf_from_html(page(head=sheet))
    fonts = PdfReader(io.BytesIO(pdf)).pages[0]["/Resources"]["/Font"]
    names = [str(font.get_object()["/BaseFont"]) for font in fonts.values()]
    assert names
    assert all("Inter" in name for name in names)
    assert not caplog.records


@pytest.mark.parametrize(
    "address",
    [
        "file:///etc/passwd",
        "http://example.com/a.png",
        "https://paper.invalid/files/a",
        "/static/../settings.py",
        "/static/shopapp/absent.png",
        "data:text/html,a",
    ],
)
def test_any_other_address_stops_the_paper(address):
    with pytest.raises(FatalURLFetchingError):
        pdf_from_html(page(f'<img src="{address}" alt="">'))


def test_a_picture_inside_the_page_is_printed(caplog):
    dot = "data:image/svg+xml,%3Csvg xmlns='http://www.w3.org/2000/svg'/%3E"
    with caplog.at_level(logging.WARNING, "weasyprint"):
        assert pdf_from_html(page(f'<img src="{dot}" alt="A dot">')).pages == 1
    assert not caplog.records
