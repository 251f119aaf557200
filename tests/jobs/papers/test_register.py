"""The register of chemicals as an issued paper."""

from __future__ import annotations

import io

import pytest
from pypdf import PdfReader

from jobs.models import Paper
from jobs.papers.actions import issue_register
from jobs.papers.html_facts import paper_html
from mixing.models import Chemical, StorageSpot
from shopapp.frame import Refused, perform
from shopapp.printing import pdf_from_html
from tests.makers import make_container, make_tap

pytestmark = pytest.mark.django_db


def stock() -> None:
    spot = StorageSpot.objects.create(name="Red cabinet", form="cabinet")
    make_container("C9", spot=spot, material="metal")
    Chemical.objects.update(hazard_codes="H225", sheet_dated="2026-01-05")


def issued(by, **facts) -> Paper:
    answer = perform(make_tap(by), issue_register, **facts)
    return Paper.objects.get(pk=answer["pk"])


@pytest.mark.parametrize(("size", "width"), [("A4", 595), ("Letter", 612)])
def test_it_names_each_container_its_place_and_its_limits(manager, size, width):
    # 210 mm (ISO 216) and 8.5 in (ANSI/ASME Y14.1) in points of 1/72 in.
    stock()
    pdf = pdf_from_html(paper_html(issued(manager, size=size)))
    page = PdfReader(io.BytesIO(bytes(pdf))).pages[0]
    text = " ".join(page.extract_text().split())
    assert float(page.mediabox[2]) == pytest.approx(width, abs=1)
    for part in ("C9", "Red cabinet", "category 2", "H225", "metal", "5 Jan 2026"):
        assert part in text
    assert "1910.106(d)(3)(i)" in text
    assert "United States (example)" in text
    assert "licensed practice decide" in text


def test_the_same_shelf_gives_the_same_version_and_a_change_the_next(manager):
    stock()
    first, again = issued(manager), issued(manager)
    assert (first.pk, first.version) == (again.pk, 1)
    make_container("C8")
    second = issued(manager)
    assert (second.version, second.replaces) == (2, first)
    assert "No place entered" in paper_html(second)
    assert second.facts["state"] == "NOT ASSESSED"


def test_a_size_that_no_printer_has_is_refused(manager):
    with pytest.raises(Refused, match="A4 or Letter"):
        issued(manager, size="57x32")


def test_the_page_leads_to_the_paper(client, installer):
    stock()
    client.force_login(installer)
    facts = {"key": "k" * 16, "size": "Letter"}
    answer = client.post("/safety/register/issue/", facts)
    paper = Paper.objects.get(kind=Paper.Kind.REGISTER)
    assert answer.url == f"/papers/{paper.pk}/"
    assert answer.status_code == 303
    assert "Version 1" in client.get("/safety/register/").content.decode()
