"""Labels of off-cuts: at any size, read by eyes and by a photo."""

from __future__ import annotations

import pypdfium2
import pytest
import zxingcpp
from django.urls import reverse

from jobs.film.offcut_actions import keep_offcut
from jobs.models import OffCut, Paper
from jobs.papers.actions import issue_label
from jobs.papers.html_facts import paper_html
from shopapp.frame import Refused, perform
from shopapp.models import BackgroundTask
from shopapp.printing import pdf_from_html
from tests.makers import make_film, make_roll, make_tap

pytestmark = pytest.mark.django_db

MM_PER_POINT = 25.4 / 72
DOTS_PER_MM = 8
"""203 dpi, as a plain label printer has."""


@pytest.fixture
def offcut(manager):
    roll = make_roll(make_film(), code="R12", lot="L-204")
    answer = perform(
        make_tap(manager), keep_offcut,
        roll_pk=roll.pk, width_mm=914, length_mm=1220, location="rack 2",
    )  # fmt: skip
    return OffCut.objects.get(pk=answer["pk"])


def pdf_of(offcut, by, size):
    answer = perform(
        make_tap(by), issue_label, subject=f"offcut {offcut.pk}", size=size
    )
    paper = Paper.objects.get(pk=answer["pk"])
    return pypdfium2.PdfDocument(bytes(pdf_from_html(paper_html(paper))))


def test_a_piece_kept_by_hand_asks_for_its_label_at_once(offcut):
    paper = Paper.objects.get(kind="offcut_label")
    assert paper.number == "OFFCUT-R12-1"
    assert BackgroundTask.objects.filter(subject=f"paper {paper.pk}").exists()


@pytest.mark.parametrize("size", ["57x32", "40x30", "100x60", "62x29", "50x80"])
def test_a_label_of_any_size_is_one_page_and_is_scanned(offcut, manager, size):
    width, height = map(int, size.split("x"))
    document = pdf_of(offcut, manager, size)
    assert len(document) == 1
    page = document[0]
    sides = [round(side * MM_PER_POINT) for side in page.get_size()]
    assert sides == [width, height]
    dots = page.render(scale=DOTS_PER_MM * MM_PER_POINT).to_pil()
    assert [code.text for code in zxingcpp.read_barcodes(dots)] == ["R12-1"]


@pytest.mark.parametrize("size", ["57x32", "40x30", "100x60"])
def test_everything_on_a_label_is_inside_it(offcut, manager, size):
    page = pdf_of(offcut, manager, size)[0]
    text = page.get_textpage()
    words = text.get_text_range()
    for part in ("R12-1", "914 mm", "1220 mm", "L-204", "rack 2"):
        assert part in words
    width, height = page.get_size()
    for at in range(text.count_rects()):
        left, bottom, right, top = text.get_rect(at)
        assert left >= 0
        assert bottom >= 0
        assert right <= width
        assert top <= height


def test_a_label_of_a_piece_that_is_gone_is_refused(offcut, manager):
    with pytest.raises(Refused, match="no off-cut to label"):
        perform(make_tap(manager), issue_label, subject=f"offcut {offcut.pk + 1}")


def test_the_offcuts_page_leads_to_its_label(client, offcut, manager):
    client.force_login(manager)
    url = reverse("jobs:label_new", args=["offcut", offcut.pk])
    page = client.get(reverse("jobs:offcut_detail", args=[offcut.pk]))
    assert url in page.content.decode()
    answer = client.post(
        reverse("jobs:label_issue", args=["offcut", offcut.pk]),
        {"key": "l" * 16, "size": "other", "width_mm": "40", "height_mm": "30"},
    )
    assert answer.status_code == 303
    assert Paper.objects.filter(kind="offcut_label", size="40x30").exists()
