"""The plan for what a roll did not reach when it ended."""

from __future__ import annotations

from collections.abc import Collection, Mapping

from jobs.models import Pull
from jobs.pulls.queries import pull_job, quick_plan_of
from jobs.pulls.roll_end import panels_missing
from jobs.pulls.stored import FrozenPull, pull_from_json
from jobs.workorders.queries import order_head


def plan_for_the_rest(
    pull: Pull,
    *,
    ended: Mapping[str, int],
    taken: Mapping[str, int],
    empty: Collection[str],
) -> FrozenPull | None:
    """A quick plan for the panels that are missing; None while none is.

    ended  rolls of the plan that ended, with what they gave
    taken  what is taken just now, by the roll that it really came from
    empty  the rolls that really ended
    """
    found = pull_from_json(pull.plan)
    missing = {
        (panel.group, panel.panel) for panel in panels_missing(found, ended=ended)
    }
    if not missing:
        return None
    orders = list(order_head().filter(number__in={number for number, _ in missing}))
    wanted = [
        (
            order,
            [p for p in order.panels.all() if (order.number, p.panel) in missing],
        )
        for order in orders
    ]
    job = pull_job(
        orders[0].film,
        wanted,
        taken=taken,
        ended=empty,
        used=found.plan.used_offcuts,
    )
    spoilt = sorted(code for _number, code in missing) if pull.plan["spoilt"] else ()
    return quick_plan_of(job, spoilt=spoilt)
