"""The work order after a redo tells what was done, mixed, skipped and agreed."""

from __future__ import annotations

import json
import re

import pytest

from jobs.checks.actions import add_mark, answer_item
from jobs.checks.queries import item_from
from jobs.condition.agreement_actions import agree_walk_round
from jobs.condition.marks import ItemKind
from jobs.models import ChecklistVersion, OrderChecklist, WorkOrder
from jobs.panels.actions import lay_panel
from jobs.panels.inspection_actions import look_at_the_rest, open_defect, redo_panel
from jobs.papers.html_facts import paper_html
from jobs.solutions.actions import make_sheet, record_mix, skip_solution
from jobs.stages.table import Stage
from jobs.workorders.actions import advance_stage
from mixing.models import Vessel
from mixing.sheet.queries import sheet_of
from shopapp.frame import perform
from tests.jobs.papers.orders import ask, make_full_order
from tests.makers import make_tap, make_workorder

pytestmark = pytest.mark.django_db


def words(html: str) -> str:
    return " ".join(re.sub(r"<[^>]+>", " ", html).split())


class Shop:
    """Presses the buttons of one order."""

    def __init__(self, order: WorkOrder, by) -> None:
        self.pk, self.by = order.pk, by

    def do(self, action, **facts):
        return perform(make_tap(self.by), action, workorder_pk=self.pk, **facts)

    @property
    def order(self) -> WorkOrder:
        return WorkOrder.objects.get(pk=self.pk)

    def mix(self, vessel: str) -> str:
        bottles = list(Vessel.objects.filter(code=vessel))
        answer = self.do(make_sheet, kind="slip", vessels=bottles)
        row = self.order.sheets.get(pk=answer["pk"])
        (solution,) = sheet_of(row.facts).solutions
        poured = [[pour.amount.value for pour in solution.fills[0].pours]]
        self.do(record_mix, kind="slip", version=row.version, poured=poured)
        return self.order.order_batches.latest("pk").batch.number

    def tick_all(self, row: OrderChecklist) -> None:
        for stored in row.version.items:
            item = item_from(stored)
            if item.kind is ItemKind.TICK:
                facts = {"order_checklist_pk": row.pk, "item": item.code}
                self.do(answer_item, ticked=True, **facts)

    def lay(self, *panels) -> None:
        for panel in panels:
            self.do(lay_panel, panel_pk=panel.pk)


@pytest.fixture
def shop(manager):
    """All film laid once, the hood twice; in cure in round 2."""
    order = make_full_order(manager)
    shop = Shop(order, manager)
    prep = ChecklistVersion.objects.filter(checklist__code="prep").first()
    shop.tick_all(OrderChecklist.objects.create(workorder=order, version=prep))
    shop.do(skip_solution, kind="all_in_one")
    shop.first = shop.mix("S1")
    shop.lay(*order.panels.all())
    shop.do(advance_stage, to=Stage.INSPECTION)
    shop.do(look_at_the_rest)
    hood = order.panels.get(panel="hood")
    found = shop.do(open_defect, panel_pk=hood.pk, kind="dirt", size_mm=5.0)
    shop.do(redo_panel, defect_pk=found["pk"])
    shop.second = shop.mix("S2")
    return shop


def paper_of(shop) -> str:
    return paper_html(ask(shop.order, shop.by))


def into_cure(shop) -> None:
    shop.lay(shop.order.panels.get(panel="hood"))
    shop.do(advance_stage, to=Stage.INSPECTION)
    shop.do(advance_stage, to=Stage.CURE)


def test_the_batches_of_every_round_are_named(shop):
    text = words(paper_of(shop))
    assert "Mixed for this car" in text
    assert shop.first in text
    assert shop.second in text


def test_the_ticks_of_prep_stand_in_the_second_round(shop):
    html = paper_of(shop)
    wash = "Wash and rinse the whole car"
    assert f'<li class="done">{wash}' in html


def test_what_was_not_needed_before_is_not_to_be_mixed_after_a_redo(shop):
    titles = re.findall(r"<h2>([^<]*?) <small>", paper_of(shop))
    assert any("lip" in title for title in titles)
    assert not [title for title in titles if "ll-in-one" in title.lower()]


def test_once_all_film_is_laid_nothing_is_to_be_mixed(shop):
    into_cure(shop)
    html = paper_of(shop)
    assert shop.second in html
    assert "tack" not in " ".join(re.findall(r"<h2>([^<]*?) <small>", html)).lower()


def test_an_intake_that_was_left_open_is_not_simply_ticked(shop):
    WorkOrder.objects.filter(pk=shop.pk).update(walk_round_agreed="")
    shop.order.agreements.all().delete() if hasattr(shop.order, "agreements") else None
    text = words(paper_of(shop))
    assert "drop-off not agreed" in text
    assert re.search(r"\d checks open", text)
    assert re.search(r"\d+ were open when the car moved on", text)


def test_ticks_of_an_earlier_round_are_counted_in_a_line(shop):
    assert re.search(r"Inspection, round 1: \d+ of \d+ done", words(paper_of(shop)))


def test_the_signature_is_on_the_paper_with_name_and_time(manager):
    order = make_workorder(manager)
    WorkOrder.objects.filter(pk=order.pk).update(walk_round_agreed="")
    strokes = json.dumps([[[40, 80], [120, 140], [200, 70], [290, 130]]])
    signed = {"how": "signature", "name": "Lee Ash", "strokes": strokes}
    shop = Shop(order, manager)
    shop.do(agree_walk_round, **signed)
    shop.do(add_mark, panel="hood", kind="repaint_line")
    html = paper_of(shop)
    assert 'alt="signature of Lee Ash"' in html
    assert "by signature : Lee Ash, " in words(html)
    assert "Marks not agreed: repaint edge line" in words(html)


def test_an_unsigned_order_says_so_on_its_paper(manager):
    order = make_workorder(manager)
    text = words(paper_html(ask(order, manager)))
    assert "Agreed at drop-off Not agreed." in text


def pours_of(shop) -> str:
    html = paper_of(shop)
    return html[html.index('class="wo-pours') : html.index('class="fire')]


def test_only_what_was_mixed_in_this_round_is_ticked_among_the_pours(shop):
    parts = pours_of(shop).split("<section>")[1:]
    ticked = {
        re.search(r"<h2>(\S+)", part)[1].lower()
        for part in parts
        if 'class="box done"' in part
    }
    assert ticked == {"slip"}
    assert len(parts) > 1
