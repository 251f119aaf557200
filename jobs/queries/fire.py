"""The fire line of orders for pages that show many things: the floor, the order.

A block asks for the whole mixing sheet. Its line is kept for as long as nothing was
recorded on the order, a minute at most, since settings and the shelf count too.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import UTC, datetime
from functools import lru_cache

from django.db.models import Max

from jobs.models import WorkOrder, WorkOrderEvent
from jobs.queries.safety import block_of
from jobs.queries.sheet_now import sheet_now
from jobs.queries.workorders import order_head
from jobs.stages import Stage
from mixing.hazards import SafetyLine, State
from shopapp.say import say

KEPT_S = 60
SPRAYS_IN = (Stage.PREP, Stage.INSTALL, Stage.INSPECTION)
"""Stages in which a car is wiped, sprayed or warmed."""


TOUCH_NO_AIR = (
    *("panel_ready", "panel_laid", "panel_laid_undone", "panel_looked_at"),
    *("checked", "unchecked", "mark", "paint_read", "paper_asked", "paper_issued"),
)
"""Events that change nothing of the air: most presses of a day."""


def fire_lines(orders: Iterable[WorkOrder], *, now: datetime) -> dict[int, SafetyLine]:
    """The fire line of each order that is wiped, sprayed or warmed, by its key."""
    at_work = [order.pk for order in orders if order.stage_now in SPRAYS_IN]
    if not at_work:
        return {}
    newest = (
        WorkOrderEvent.objects.filter(workorder__in=at_work)
        .exclude(what__in=TOUCH_NO_AIR)
        .order_by()
        .values_list("workorder")
        .annotate(newest=Max("pk"))
    )
    minute = int(now.timestamp()) // KEPT_S
    return {pk: kept_line(pk, event, minute) for pk, event in newest}


@lru_cache(maxsize=256)
def kept_line(order_pk: int, event_pk: int, minute: int) -> SafetyLine:
    """The line as the order stood after this event, in this minute."""
    order = order_head().get(pk=order_pk)
    at = datetime.fromtimestamp((minute + 1) * KEPT_S - 1, tz=UTC)
    try:
        sheet, _version = sheet_now(order, at=at)
        block, _asked = block_of(order, sheet=sheet, at=at)
    except ValueError as wrong:
        # One wrong entry must not take the whole floor away.
        return SafetyLine(
            key="fire",
            section="heat",
            state=State.NOT_ASSESSED,
            sentence=say("FIRE: not assessed. {wrong}", wrong=str(wrong)),
            source="the order's safety page",
        )
    return block.fire_line
