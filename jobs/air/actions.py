"""The air and fire of an order, kept with it for the pages that show many orders."""

from __future__ import annotations

from datetime import datetime, timedelta

from jobs.air.fire_queries import air_facts
from jobs.models import OrderAir, WorkOrder
from jobs.stages.table import May, stages_before
from jobs.workorders.queries import order_head

GONE_OVER_AFTER = timedelta(minutes=5)
"""Settings, the shelf and data sheets count too; they leave no word on an order."""


def keep_air(workorder: WorkOrder, *, at: datetime) -> None:
    """Keep the air as it stands after what was just recorded."""
    OrderAir.objects.update_or_create(
        workorder=workorder,
        defaults={"facts": air_facts(workorder, at=at), "made_at": at},
    )


def go_over_the_air(*, now: datetime) -> int:
    """Keep anew what was kept some minutes ago, of every car before its cure."""
    old = order_head().filter(stage__in=stages_before(May.SETTLE))
    old = old.exclude(air__made_at__gt=now - GONE_OVER_AFTER)
    for order in old:
        keep_air(order, at=now)
    return len(old)
