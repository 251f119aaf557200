"""What the order's own page shows beside its head: the next step and the facts."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import datetime

from django.urls import NoReverseMatch, reverse

from jobs.air.fire_queries import KeptLine, fire_lines
from jobs.models import OrderSolution, Roll, WorkOrder
from jobs.panels.laying_queries import LayingNow, laying_now
from jobs.panels.queries import PanelLine, ReadingNow, drawn_car, panel_lines
from jobs.panels.queries import reading_now as read_now
from jobs.path.next_step import Step, Where, next_step
from jobs.stages.queries import (
    inspectors,
    read_together,
    solutions_waiting,
    stage_facts,
)
from mixing.sheet.queries import kinds_mixed
from shopapp.models import the_shop

PAGES = {
    Where.CHECKS: "jobs:workorder_checks",
    Where.PANELS: "jobs:workorder_panels",
    Where.MIXING: "jobs:workorder_mixing",
    Where.HAND_OVER: "jobs:handover_detail",
}


@dataclass(frozen=True, kw_only=True)
class OrderPage:
    """The order at one moment."""

    step: Step | None
    step_url: str
    lines: list[PanelLine]
    car: str
    reading: ReadingNow
    laying: LayingNow
    solutions: list[OrderSolution]
    rolls: list[Roll]
    fire: KeptLine | None

    @property
    def laid(self) -> int:
        """Panels with film on."""
        return sum(line.facts.is_laid for line in self.lines)

    @property
    def past_kinds(self) -> frozenset[str]:
        """Solutions of which a bottle is past its time."""
        return self.laying.past_kinds

    @property
    def on_car(self) -> int:
        """Panels not struck off."""
        return sum(not line.facts.is_struck_off for line in self.lines)


def order_page(workorder: WorkOrder, *, now: datetime) -> OrderPage:
    """Everything but the ways on."""
    reading = read_now(workorder, now=now)
    step, url = first_step(workorder, now=now, reading=reading)
    lines = panel_lines(workorder)
    return OrderPage(
        step=step,
        step_url=url,
        lines=lines,
        car=drawn_car(workorder, lines),
        reading=reading,
        laying=laying_now(workorder, at=now),
        solutions=_solutions(workorder),
        rolls=list(
            Roll.objects.filter(movements__workorder=workorder)
            .distinct()
            .order_by("pk")
        ),
        fire=fire_lines([workorder]).get(workorder.pk),
    )


def _solutions(workorder: WorkOrder) -> list[OrderSolution]:
    """Those of this round; what waits for a kind that is not mixed any more is not."""
    waiting = {each.pk for each in solutions_waiting(workorder)}
    return [
        each
        for each in workorder.solutions.all()
        if each.round == workorder.round
        and (each.state != OrderSolution.State.WAITING or each.pk in waiting)
    ]


def first_step(
    workorder: WorkOrder,
    *,
    now: datetime,
    reading: ReadingNow | None = None,
    able: frozenset[int] | None = None,
    mixes: Collection[str] | None = None,
) -> tuple[Step | None, str]:
    """The next thing to do, and the address of the page where it is done."""
    known = reading or read_now(workorder, now=now)
    facts = stage_facts(workorder, now=now, able=able, mixes=mixes)
    step = next_step(facts, reading=known.wanted)
    return step, _url(step, workorder)


def first_steps(
    orders: Sequence[WorkOrder], *, now: datetime
) -> list[tuple[Step | None, str]]:
    """The next thing to do on each: the same queries, however many orders."""
    read_together(orders)
    able, mixes, shop = inspectors(), kinds_mixed(), the_shop()
    return [
        first_step(
            order,
            now=now,
            reading=read_now(order, now=now, shop=shop),
            able=able,
            mixes=mixes,
        )
        for order in orders
    ]


def _url(step: Step | None, workorder: WorkOrder) -> str:
    """Where the step is done; "" for this page, or for one that is not there yet."""
    if step is None or step.where not in PAGES:
        return ""
    try:
        return reverse(PAGES[step.where], args=[workorder.pk])
    except NoReverseMatch:
        return ""
