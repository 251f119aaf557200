"""Whether a plan of cuts still fits its orders."""

from __future__ import annotations

from collections.abc import Sequence

from jobs.models import OrderPanel, WorkOrder
from jobs.pulls.changes import Gone, Key, ToCut, film_changes, pull_changes
from jobs.pulls.plan import PlannedPull
from jobs.pulls.queries import panels_cut, panels_to_cut, to_cut
from shopapp.say import Say


def changed_since(
    found: PlannedPull, orders: Sequence[WorkOrder], *, spoilt: Sequence[str] = ()
) -> list[Say]:
    """What is otherwise now than the plan was made for; empty: it still fits.

    orders  all that have a part in the plan
    spoilt  panels that it cuts a second time
    """
    film, job = orders[0].film, found.job
    if said := film_changes(
        planned_code=job.film_code,
        may_turn=job.may_turn,
        film=film.name,
        code=film.code,
        is_directional=film.is_directional,
    ):
        return said
    alone = len(orders) == 1
    now = ToCut(
        panels=[
            panel
            for order in orders
            for panel in to_cut(order, _waiting(order, spoilt), alone=alone)
        ],
        gone={key: why for order in orders for key, why in _gone(order).items()},
    )
    return pull_changes(job.panels, now=now)


def _waiting(order: WorkOrder, spoilt: Sequence[str]) -> list[OrderPanel]:
    """The panels that a plan for this order has to cut."""
    if not spoilt:
        return panels_to_cut(order)
    return [
        panel
        for panel in order.panels.all()
        if panel.panel in spoilt and panel.struck_off_at is None
    ]


def _gone(order: WorkOrder) -> dict[Key, Gone]:
    cut = panels_cut(order)
    found: dict[Key, Gone] = {}
    for panel in order.panels.all():
        key = (order.number, panel.panel)
        if panel.struck_off_at is not None:
            found[key] = Gone.STRUCK_OFF
        elif panel.laid_at is not None:
            found[key] = Gone.LAID
        elif panel.panel in cut:
            found[key] = Gone.CUT
    return found
