"""Pressing the buttons of an order's pages, and orders that have come some way."""

from __future__ import annotations

from uuid import uuid4

from django.urls import reverse
from django.utils import timezone

from jobs.condition.agreement_actions import agree_walk_round
from jobs.models import WorkOrder
from jobs.panels.actions import lay_panel, make_all_ready
from jobs.rules.default_actions import load_checklists
from jobs.stages.table import Stage
from jobs.workorders.actions import advance_stage
from shopapp.frame import Act, perform
from shopapp.models import Person
from tests.makers import make_tap, make_workorder

HTMX = {"headers": {"HX-Request": "true"}}


def tap(client, name: str, /, *args, key: str = "", htmx: bool = False, **data):
    """Press a button: its URL name, its arguments, what the form holds."""
    known = {"key": key or uuid4().hex, **data}
    return client.post(
        reverse(f"jobs:{name}", args=args), known, **(HTMX if htmx else {})
    )


def page(client, name: str, /, *args, htmx: bool = False, **query) -> str:
    """A page as text."""
    answer = client.get(
        reverse(f"jobs:{name}", args=args), query, **(HTMX if htmx else {})
    )
    assert answer.status_code == 200
    return answer.content.decode()


def do(by: Person | None, act, /, **facts):
    """Perform an action now."""
    return perform(make_tap(by, at=timezone.now()), act, **facts)


def load_the_lists() -> None:
    """The shipped checklists."""
    load_checklists(Act(tap=make_tap(None, at=timezone.now()), name="test"))


def make_order(by: Person, *, stage: Stage = Stage.INTAKE, **fields) -> WorkOrder:
    """A full front that has come as far as `stage`, by the shop's own actions."""
    order = make_workorder(**{"at": timezone.now(), **fields})
    stages = list(Stage)
    for to in stages[1 : stages.index(stage) + 1]:
        if to is Stage.PREP:
            do(by, agree_walk_round, workorder_pk=order.pk, how="keys")
        if to is Stage.INSTALL:
            do(by, make_all_ready, workorder_pk=order.pk)
        if to is Stage.INSPECTION:
            for panel in order.panels.all():
                do(by, lay_panel, workorder_pk=order.pk, panel_pk=panel.pk)
        do(by, advance_stage, workorder_pk=order.pk, to=to)
    order.refresh_from_db()
    return order


def events(order: WorkOrder) -> list[str]:
    """What stands in the history, oldest first."""
    return list(order.events.order_by("pk").values_list("what", flat=True))
