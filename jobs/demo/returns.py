"""A car of the demo shop that came back: an edge put right, who pays still open."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Any

from jobs.demo.steps import Cast
from jobs.handover.actions import give_car
from jobs.models import WorkOrder
from jobs.returns.actions import begin_return
from jobs.returns.settle_actions import settle_fault
from jobs.stages.table import CLOSED
from shopapp.frame import Answer, Tap, perform
from shopapp.models import HistoryEntry, Person

SAID = "Customer: you can get a fingernail under it by the left lamp."


def come_back(*, cast: Cast, at: datetime) -> None:
    """The first car that was handed over comes back for an hour."""
    private = WorkOrder.objects.filter(stage=CLOSED.value, on_account=False)
    private = WorkOrder.objects.filter(stage=CLOSED.value, on_account=False)
    old = private.order_by("pk").first()
    if old is None:
        return
    begun = _press(
        cast.desk,
        at,
        begin_return,
        workorder_pk=old.pk,
        panels=["front_bumper"],
        kind="lifted_edge",
        note=SAID,
    )
    order = WorkOrder.objects.get(pk=begun["pk"])
    assert order.booking is not None
    _press(
        cast.lead,
        at + timedelta(minutes=35),
        settle_fault,
        workorder_pk=order.pk,
        defect_pk=order.booking.return_visit.defects.get().pk,
        outcome="touched_up",
        note="cleaned, warmed, pressed",
    )
    at += timedelta(minutes=60)
    _press(cast.desk, at, give_car, workorder_pk=order.pk, how="person")


def _press(
    who: Person, at: datetime, do: Callable[..., Any], /, **facts: Any
) -> Answer:
    """A button with a key of its own: the demo's chances stay what they are."""
    key, via = f"demo-{do.__name__}-{facts['workorder_pk']}", HistoryEntry.Via.DEMO
    return perform(Tap.made_by(who, at=at, via=via, key=key), do, **facts)
