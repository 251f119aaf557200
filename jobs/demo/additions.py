"""What the demo shop sold on top, for a car that was in."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from jobs.additions.actions import answer_addition, offer_addition
from jobs.demo.story import Story
from jobs.models import Addition, WorkOrder
from shopapp.frame import Answer, Tap, perform
from shopapp.models import HistoryEntry, Person


def sell_more(story: Story) -> None:
    """A roof edge, agreed by phone."""
    order = story.order
    offered = _press(
        story,
        story.cast.lead,
        offer_addition,
        what=Addition.What.PANEL,
        panel="roof_edge",
        price=Decimal(140),
    )
    _press(
        story,
        story.cast.desk,
        answer_addition,
        addition_pk=offered["pk"],
        says="yes",
        how=WorkOrder.Agreed.PHONE.value,
        name=order.customer.name,
    )


def _press(story: Story, who: Person, do: Any, /, **facts: Any) -> Answer:
    """A button with a key of its own: the demo's chances stay what they are."""
    key, via = f"demo-{do.action_name}-{story.order_pk}", HistoryEntry.Via.DEMO
    tap = Tap.made_by(who, at=story.clock, via=via, key=key)
    return perform(tap, do, workorder_pk=story.order_pk, **facts)
