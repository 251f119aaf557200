"""The film on the work order's paper, in any round: rolls, lots, real lengths."""

from __future__ import annotations

import pypdfium2
import pytest
from django.urls import reverse

from jobs.models import Paper, Pull, WorkOrder
from jobs.papers.html_facts import paper_html
from jobs.papers.work_order_facts import work_order_facts
from shopapp.printing import pdf_from_html
from tests.jobs.pulling import confirm, plan
from tests.makers import NOW, make_booking, make_film, make_roll, make_workorder

pytestmark = pytest.mark.django_db


@pytest.fixture
def order(manager):
    film = make_film()
    make_roll(film, code="R7", lot="L-77", left_mm=40_000)
    return make_workorder(manager, booking=make_booking(manager, film=film))


def pages_of(order, *, size="A4"):
    fresh = WorkOrder.objects.get(pk=order.pk)
    paper = Paper(
        kind=Paper.Kind.WORK_ORDER, workorder=fresh, size=size, number="W-1", version=1
    )
    paper.asked_at = NOW
    paper.facts = work_order_facts(fresh, at=NOW)
    pdf = pypdfium2.PdfDocument(bytes(pdf_from_html(paper_html(paper))))
    return [" ".join(p.get_textpage().get_text_range().split()) for p in pdf]


def next_round(order):
    """All film on the car, and a round of redo that has planned nothing."""
    order.panels.update(laid_at=NOW, laid_round=1)
    order.panels.filter(panel="hood").update(laid_at=None)
    WorkOrder.objects.filter(pk=order.pk).update(round=2)


def film_line(pages):
    return pages[0].split("film A")[1]


def test_after_a_redo_the_paper_tells_what_was_really_taken(client, order, manager):
    client.force_login(manager)
    pull = plan(client, order)
    taken_mm = pull.planned_mm + 90
    confirm(client, pull, length_0=str(taken_mm))
    next_round(order)
    pages = pages_of(order)
    line = film_line(pages)
    assert "R7 lot L-77" in line
    assert f"{taken_mm / 1000:.2f}".rstrip("0") in line
    assert "held for this car" not in line
    assert "No pull planned yet for 1 panel" in line
    assert any("Cut list" in page and "round 1" in page for page in pages)


def test_with_all_film_laid_nothing_is_said_to_be_unplanned(client, order, manager):
    client.force_login(manager)
    confirm(client, plan(client, order))
    order.panels.update(laid_at=NOW, laid_round=1)
    WorkOrder.objects.filter(pk=order.pk).update(round=2)
    assert "No pull planned yet" not in pages_of(order)[0]


def test_both_rounds_stand_on_the_paper(client, order, manager):
    client.force_login(manager)
    confirm(client, plan(client, order))
    next_round(order)
    again = plan(client, WorkOrder.objects.get(pk=order.pk), key="z" * 16)
    confirm(client, again, key="y" * 16)
    pages = pages_of(order)
    line = film_line(pages)
    assert line.count("R7 lot L-77") == 2
    assert "round 1" in line
    assert "round 2" in line
    assert "for hood" in line
    assert sum("The cuts in order" in page for page in pages) == 2


def test_film_laid_without_a_record_is_said_to_be_so(order):
    order.panels.update(laid_at=NOW, laid_round=1)
    line = film_line(pages_of(order))
    assert "No film taken is on record." in line


def test_the_cut_list_of_an_earlier_round_can_still_be_printed(client, order, manager):
    client.force_login(manager)
    confirm(client, plan(client, order))
    next_round(order)
    url = reverse("jobs:paper_issue", args=[order.pk])
    data = {"key": "i" * 16, "kind": "cut_list", "size": "A4"}
    assert client.post(url, data).status_code == 303
    sources = order.papers.get(kind="cut_list").facts["sources"]
    (taken,) = Pull.objects.filter(state="taken")
    assert sources[0]["taken"] == f"{taken.taken_mm / 1000:.2f} m"
