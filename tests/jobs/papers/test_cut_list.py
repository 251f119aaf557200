"""The cut list on paper: every page is used, every blank and its source is named."""

from __future__ import annotations

import pypdfium2
import pytest

from jobs.coverage.catalogue import Package
from jobs.models import Paper
from jobs.papers.cut_list_facts import cut_list_paper
from jobs.papers.html_facts import paper_html
from jobs.pulls.actions import plan_the_pull
from jobs.pulls.queries import panels_to_cut, quick_plan
from jobs.templatetags.papers import in_blocks
from shopapp.frame import perform
from shopapp.printing import pdf_from_html
from tests.makers import (
    make_booking,
    make_film,
    make_roll,
    make_tap,
    make_workorder,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def order(manager):
    film = make_film()
    make_roll(film, left_mm=40_000)
    booking = make_booking(manager, film=film, package=Package.FULL_VEHICLE)
    order = make_workorder(manager, booking=booking)
    quick = quick_plan(film, [(order, panels_to_cut(order))])
    perform(make_tap(manager), plan_the_pull, workorder_pk=order.pk, quick=quick)
    return order


def paper_of(order, size):
    facts = cut_list_paper(order)
    paper = Paper(
        kind=Paper.Kind.CUT_LIST, workorder=order, size=size, number="C-1", version=1
    )
    paper.facts = facts
    pdf = pypdfium2.PdfDocument(bytes(pdf_from_html(paper_html(paper))))
    return facts, [page.get_textpage().get_text_range() for page in pdf]


@pytest.mark.parametrize("size", ["a4", "letter"])
def test_a_full_vehicle_leaves_no_page_half_empty_before_its_drawing(order, size):
    facts, pages = paper_of(order, size)
    assert len(facts["drawings"][0]["rows"]) >= 3
    assert len(pages) <= 5
    assert "fresh end" in pages[0], "the drawing begins on page one"
    assert all(len(page) > 250 for page in pages)


def test_every_panel_stands_on_the_paper_and_each_basis_once(order):
    facts, pages = paper_of(order, "a4")
    words = " ".join(" ".join(pages).split())
    for panel in facts["panels"]:
        assert panel["name"] in words
    assert words.count("template for mid-size cars; measure it") == 1
    (basis,) = facts["sizes_from"]
    assert len(basis["panels"]) == len(facts["panels"])


def test_a_page_may_end_between_blocks_of_cuts():
    """One set of columns for all cuts of a van left half a page empty."""
    assert in_blocks(list(range(32)), 15) == [
        list(range(15)),
        list(range(15, 30)),
        [30, 31],
    ]
