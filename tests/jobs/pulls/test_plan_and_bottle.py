"""A plan and a bottle that differ are both said; the bottle decides on safety."""

from __future__ import annotations

import inspect
import re

import pytest
from django.utils import timezone

from jobs.air.prep_actions import use_prep
from jobs.models import Paper, WorkOrder
from jobs.papers.actions import issue_paper
from jobs.papers.html_facts import paper_html
from jobs.solutions.actions import record_mix
from jobs.stages.table import Stage
from mixing.models import Basis, Chemical, Substance
from shopapp.frame import perform
from tests.jobs.solutions.test_mixing import mix, plan
from tests.jobs.taps import page
from tests.makers import (
    make_bay,
    make_bench,
    make_reading,
    make_tap,
    make_workorder,
)

pytestmark = pytest.mark.django_db


def words(html: str) -> str:
    """A page as it is read, without what its numbers open to."""
    shut = re.sub(r'<div class="figure-body">.*?</details>', " ", html, flags=re.S)
    bare = re.sub(r"<[^>]+>", " ", shut)
    return " ".join(bare.replace("Where does this number come from?", "").split())


@pytest.fixture
def order(client, manager):
    """A full front in install in a bay, read on a mild day."""
    client.force_login(manager)
    make_bench()
    workorder = make_workorder(manager, stage=Stage.INSTALL, bay=make_bay())
    make_reading(workorder, manager, at=timezone.now(), panel_c=22, air_c=22, rh_pct=50)
    return workorder


def no_prep(order, by) -> None:
    perform(make_tap(by, at=timezone.now()), use_prep, workorder_pk=order.pk)


def printed(order, by) -> str:
    answer = perform(
        make_tap(by, at=timezone.now()),
        issue_paper,
        workorder_pk=order.pk,
        kind="work_order",
        size="A4",
    )
    return words(paper_html(Paper.objects.get(pk=answer["pk"])))


def strong(order, by):
    """A tack bottle of 20.4 % where 17.7 % was asked."""
    row = plan(order, by, "tack", "T1")
    asks = "because" in inspect.signature(record_mix).parameters
    perform(
        make_tap(by),
        record_mix,
        workorder_pk=order.pk,
        version=row.version,
        kind="tack",
        poured=[[220.0, 780.0]],
        **({"because": "the jug ran over"} if asks else {}),
    )


def test_the_card_shows_plan_and_bottle(client, order, manager):
    strong(order, manager)
    shown = words(page(client, "workorder_mixing", order.pk))
    assert "The sheet plans 17.7 % v/v ; in T1 is 20.4 % v/v" in shown


def test_each_bottle_counts_on_the_safety_page(client, order, manager):
    strong(order, manager)
    mix(order, manager, "tack", "T2")
    no_prep(order, manager)
    shown = words(page(client, "workorder_safety", order.pk))
    assert "Tack T1" in shown
    assert "category 2 (Tack T1)" in shown


def test_a_bottle_of_the_round_before_counts_beside_the_plan(client, order, manager):
    strong(order, manager)
    WorkOrder.objects.filter(pk=order.pk).update(round=2)
    order.refresh_from_db()
    order.panels.update(laid_at=None)
    no_prep(order, manager)
    shown = words(page(client, "workorder_safety", order.pk))
    assert "Tack T1" in shown
    assert "category 2 (Tack T1)" in shown


def test_page_one_says_what_is_of_the_category_that_it_names(order, manager):
    wipe = Chemical.objects.create(
        name="panel wipe",
        substance=Substance.WIPE,
        strength_pct=50.0,
        strength_basis=Basis.VV,
    )
    known = {"workorder_pk": order.pk, "chemical": wipe, "litres": 0.15}
    perform(make_tap(manager, at=timezone.now()), use_prep, **known)
    mix(order, manager, "tack", "T1")
    page_one = printed(order, manager)
    assert "category 2 (panel wipe" in page_one
