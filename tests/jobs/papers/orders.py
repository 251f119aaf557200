"""An order with all that a work order prints, made by the shop's own actions."""

from __future__ import annotations

from datetime import datetime
from functools import lru_cache

from jobs.air.prep_actions import use_prep
from jobs.checks.actions import add_mark
from jobs.condition.agreement_actions import agree_walk_round
from jobs.models import Film, Paper, WorkOrder
from jobs.papers.actions import issue_paper
from jobs.pulls.actions import plan_the_pull
from jobs.pulls.queries import panels_to_cut, quick_plan
from jobs.rules.default_actions import load_checklists
from jobs.solutions.actions import make_sheet
from jobs.stages.table import Stage
from shopapp.frame import Act, perform
from shopapp.models import BackgroundTask, Person
from shopapp.printing import Attachment, Pdf, pdf_from_html
from tests.makers import (
    NOW,
    make_bay,
    make_bench,
    make_booking,
    make_customer,
    make_film,
    make_person,
    make_reading,
    make_roll,
    make_tap,
    make_vehicle,
    make_workorder,
)

PHONE = "555-0199"
"""Of the customer; no work order shows it."""


def make_full_order(by: Person | None = None, *, at: datetime = NOW) -> WorkOrder:
    """A car in a bay, walked round, with reading, sheet, cut list and checklists."""
    person = by or make_person("manager", "desk", "installer", username="pru")
    film = Film.objects.first() or make_film()
    make_roll(film)
    make_bench(person)
    load_checklists(Act(tap=make_tap(person, at=at), name="order.make"))
    car = make_vehicle(
        make_customer("Robin Ash", phone=PHONE),
        notes="Parking sensors in the front bumper.",
    )
    booking = make_booking(
        person, vehicle=car, film=film, at=at, paint_history="Hood repainted in 2029."
    )
    order = make_workorder(person, booking=booking, bay=make_bay(), at=at)
    order.crew.add(person)
    facts = {"workorder_pk": order.pk}
    mark = {"panel": "hood", "kind": "stone_chip", "size_mm": 3}
    perform(make_tap(person, at=at), add_mark, **facts, **mark)
    perform(make_tap(person, at=at), agree_walk_round, **facts, how="keys")
    WorkOrder.objects.filter(pk=order.pk).update(stage=Stage.INSTALL.value)
    order.refresh_from_db()
    make_reading(order, person, at=at)
    perform(make_tap(person, at=at), make_sheet, **facts)
    perform(make_tap(person, at=at), use_prep, **facts)
    quick = quick_plan(film, [(order, panels_to_cut(order))])
    perform(make_tap(person, at=at), plan_the_pull, **facts, quick=quick)
    return WorkOrder.objects.get(pk=order.pk)


def ask(
    order: WorkOrder,
    by: Person,
    *,
    kind: str = "work_order",
    size: str = "A4",
    at: datetime = NOW,
) -> Paper:
    """The paper that somebody asks for."""
    facts = {"workorder_pk": order.pk, "kind": kind, "size": size}
    answer = perform(make_tap(by, at=at), issue_paper, **facts)
    return Paper.objects.get(pk=answer["pk"])


@lru_cache(maxsize=16)
def pdf_of(html: str, attached: tuple[Attachment, ...] = ()) -> Pdf:
    """The PDF of a page; the same page is rendered once for all tests that read it."""
    return pdf_from_html(html, attachments=attached)


def waiting_task(paper: Paper) -> BackgroundTask:
    """The task that makes it."""
    return BackgroundTask.objects.get(
        kind="papers.issue", subject=f"paper {paper.pk}", state="waiting"
    )
