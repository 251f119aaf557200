"""One press after another: who, when, on which order."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, timedelta
from random import Random
from typing import Any

from jobs.checks.actions import answer_item
from jobs.checks.queries import order_lists
from jobs.condition.marks import ItemKind
from jobs.models import WorkOrder
from shopapp.frame import Answer, Tap, perform
from shopapp.models import HistoryEntry, Person


@dataclass(kw_only=True)
class Cast:
    """Who works in the demo shop."""

    manager: Person
    desk: Person
    prep: Person
    lead: Person
    second: Person


@dataclass(kw_only=True)
class Steps:
    """A car on its way. `clock` is the time of the next step."""

    cast: Cast
    chance: Random
    clock: datetime
    order_pk: int = 0

    def do(self, who: Person, action: Callable[..., Any], /, **facts: Any) -> Answer:
        """Press one button, a few minutes after the last."""
        tap = Tap.made_by(
            who,
            at=self.clock,
            via=HistoryEntry.Via.DEMO,
            key=f"demo-{self.chance.getrandbits(64):016x}",
        )
        return perform(tap, action, **facts)

    def on_order(
        self, who: Person, action: Callable[..., Any], /, **facts: Any
    ) -> Answer:
        """Press a button of the order."""
        return self.do(who, action, workorder_pk=self.order_pk, **facts)

    def wait(self, minutes: float) -> None:
        """Let time pass."""
        self.clock += timedelta(minutes=minutes)

    @property
    def order(self) -> WorkOrder:
        """The order as it is."""
        return WorkOrder.objects.select_related("vehicle", "film").get(pk=self.order_pk)

    def check_off(self, who: Person) -> None:
        """Answer every open required item of this stage's list."""
        order = self.order
        for order_list in order_lists(order):
            if order_list.row.round != order.round:
                continue
            for line in order_list.lines:
                if line.answer is not None or not line.item.is_required:
                    continue
                answer = self._answer(line.item.kind, low=line.item.low)
                if answer:
                    self.wait(0.5)
                    self.on_order(
                        who,
                        answer_item,
                        order_checklist_pk=order_list.row.pk,
                        item=line.item.code,
                        **answer,
                    )

    def signed(self) -> dict[str, Any]:
        """The customer's name, and a wavy line for a signature."""
        wave = [[60 + 20 * step, 100 + 40 * (-1) ** step] for step in range(20)]
        return {"name": self.order.customer.name, "strokes": json.dumps([wave])}

    def _answer(self, kind: ItemKind, *, low: float | None) -> dict[str, Any]:
        if kind is ItemKind.TICK:
            return {"ticked": True}
        if kind is ItemKind.NUMBER:
            return {"number": max(low or 0, float(self.chance.randrange(10, 30)))}
        return {"text": "as agreed"} if kind is ItemKind.TEXT else {}
