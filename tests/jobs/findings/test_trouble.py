"""The trouble page: what is seen, beside what the order's own record holds."""

from __future__ import annotations

import re

import pytest
from django.urls import reverse

from jobs.findings.first_look import IN_THE_SOLUTIONS, parted
from jobs.findings.queries import panel_in_question, trouble_now
from jobs.findings.trace import (
    CAUSES,
    OrderRecord,
    Verdict,
    defect_kinds,
    likely_causes,
)
from jobs.models import WorkOrder
from jobs.panels.actions import lay_panel, make_all_ready
from jobs.solutions.actions import make_sheet, record_mix
from jobs.stages.table import Stage
from mixing.models import Vessel
from mixing.sheet.queries import sheet_of
from shopapp.frame import perform
from tests.makers import make_bench, make_reading, make_tap, make_workorder

db = pytest.mark.django_db

# The rows that the trade marks with a star (common practice, no published source).
STARRED = {
    "grab",
    "slide",
    "water_pocket",
    "lifted_edge",
    "lift_line",
    "haze",
    "spots",
}


def test_the_solutions_come_first_only_where_the_trade_marks_it():
    for kind in defect_kinds():
        causes = likely_causes(kind, record=OrderRecord())
        solutions, others = parted(kind, causes)
        assert {*solutions, *others} == {*causes}
        assert not solutions or kind in STARRED
        assert not {cause.code for cause in others} & IN_THE_SOLUTIONS or (
            kind not in STARRED
        )
    assert {k for k, row in defect_kinds().items() if row.solutions_first} == STARRED


def test_every_cause_in_the_solutions_is_a_known_one():
    assert set(CAUSES) >= IN_THE_SOLUTIONS


@pytest.fixture
def order(client, installer):
    make_bench()
    workorder = make_workorder(stage=Stage.PREP)
    perform(make_tap(installer), make_all_ready, workorder_pk=workorder.pk)
    WorkOrder.objects.filter(pk=workorder.pk).update(stage=Stage.INSTALL)
    workorder.refresh_from_db()
    make_reading(workorder, installer, panel_c=35.0)
    client.force_login(installer)
    return workorder


def mix_weak_slip(order, by):
    """Half of the soap that the sheet asks for."""
    facts = {"workorder_pk": order.pk, "kind": "slip"}
    bottles = list(Vessel.objects.filter(code="S1"))
    answer = perform(make_tap(by), make_sheet, vessels=bottles, **facts)
    row = order.sheets.get(pk=answer["pk"])
    (solution,) = sheet_of(row.facts).solutions
    water, soap = (pour.amount.value for pour in solution.fills[0].pours)
    poured = [[water, soap / 2]]
    perform(make_tap(by), record_mix, version=row.version, poured=poured, **facts)


def page(client, order, **asked):
    answer = client.get(reverse("jobs:workorder_trouble", args=[order.pk]), asked)
    assert answer.status_code == 200
    return re.sub(r"\s+", " ", answer.content.decode())


@db
def test_it_asks_what_is_seen_the_starred_kinds_first(client, order):
    html = page(client, order)
    names = re.findall(r'<a class="tile".*?<span>(.*?)</span>', html)
    assert len(names) == len(defect_kinds())
    assert names[0] == "film grabs before it is placed"
    first = [row.name for row in defect_kinds().values() if row.solutions_first]
    assert set(names[:7]) == set(first)


@db
def test_a_panel_not_laid_yet_is_told_by_the_mix_at_hand(client, order, installer):
    mix_weak_slip(order, installer)
    panel = panel_in_question(order, "")
    seen = trouble_now(order, panel, kind="grab")
    assert not seen.past.is_laid
    codes = {cause.code: cause.verdict for cause, *_ in seen.solutions}
    assert codes["slip_weak"] is Verdict.POINTS_TO
    assert [cause.code for cause, *_ in seen.others] == ["hot"]
    html = page(client, order, kind="grab", panel=panel.pk)
    assert html.index("In the solutions") < html.index("slip too weak")
    assert "As things stand" in html
    assert order.order_batches.get().batch.number in html


@db
def test_a_panel_that_is_laid_is_told_as_it_was_laid(client, order, installer):
    mix_weak_slip(order, installer)
    panel = order.panels.first()
    perform(make_tap(installer), lay_panel, workorder_pk=order.pk, panel_pk=panel.pk)
    make_reading(order, installer, panel_c=21.0, air_c=21.0)
    seen = trouble_now(order, panel, kind="grab")
    assert seen.past.is_laid
    assert seen.past.record.panel_c == 35.0
    html = page(client, order, kind="grab", panel=panel.pk)
    assert "As it was laid" in html
    assert f"?do=defect&amp;panel={panel.pk}" in html


@db
def test_slip_that_dries_before_it_is_placed_is_found(client, order, installer):
    """Placing minutes of the panel beside the open time the sheet reckoned with."""
    mix_weak_slip(order, installer)
    panel = order.panels.exclude(panel="front_bumper").first()
    record = trouble_now(order, panel, kind="grab").past.record
    assert record.open_time_min is not None
    assert record.placing_min is not None


@db
def test_dirt_is_not_blamed_on_the_solutions(client, order, installer):
    mix_weak_slip(order, installer)
    html = page(client, order, kind="dirt")
    assert "The solutions are hardly to blame for this." in html
    assert "In the solutions" not in html
    assert "What it was laid with" in html


@db
def test_a_kind_that_does_not_exist_asks_again(client, order):
    assert "What do you see?" in page(client, order, kind="nonsense", panel="x")


@db
def test_the_sheet_leads_to_it(client, order):
    html = client.get(reverse("jobs:workorder_mixing", args=[order.pk]))
    assert reverse("jobs:workorder_trouble", args=[order.pk]) in html.content.decode()
