"""What a pull is planned from: panels to cut, film that is there, quick plans."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from types import MappingProxyType

from django.db.models import QuerySet
from django.utils.translation import gettext

from jobs.coverage.allowances import allowance_for
from jobs.coverage.blanks import panel_blank
from jobs.coverage.catalogue import (
    Body,
    Method,
    panel_name,
)
from jobs.coverage.measured_queries import allowances
from jobs.film.lots import lots_show
from jobs.film.money import cost_per_m
from jobs.models import Film, FilmMovement, OffCut, OrderPanel, Pull, WorkOrder
from jobs.models import Roll as RollRow
from jobs.nesting import Offcut, Roll
from jobs.pulls.plan import (
    QUICK,
    PanelToCut,
    PlannedPull,
    PullJob,
    plan_job,
)
from jobs.pulls.stored import (
    FrozenPull,
    freeze,
)
from jobs.solutions.request_queries import sizes_of
from jobs.stages.table import CLOSED
from shopapp.models import Shop, the_shop
from shopapp.once import once_a_page
from shopapp.say import Say
from shopapp.telling import show, tell

NOTHING: Mapping[str, int] = MappingProxyType({})
TAKEN_BY = (FilmMovement.What.PULLED, FilmMovement.What.OFFCUT_USED)
"""Movements by which film goes on a car."""


def panels_to_cut(workorder: WorkOrder) -> list[OrderPanel]:
    """Panels of this round without film: neither laid nor struck off nor cut."""
    cut = panels_cut(workorder)
    return [
        panel
        for panel in workorder.panels.all()
        if panel.struck_off_at is None
        and panel.laid_at is None
        and panel.panel not in cut
    ]


def panels_cut(workorder: WorkOrder) -> set[str]:
    """Codes of the panels that film was pulled for in this round."""
    # Over the prefetched rows, where a page shows many orders.
    return {
        code
        for pull in workorder.pulls.all()
        if pull.state == Pull.State.TAKEN and pull.round == workorder.round
        for code in pull.cut_panels
    }


def open_pull(workorder: WorkOrder) -> Pull | None:
    """The planned pull that waits to be taken."""
    return workorder.pulls.filter(state=Pull.State.PLANNED).first()


def planned_with(pull: Pull) -> list[Pull]:
    """The pulls of a plan that waits to be taken: one, or one for each car of it."""
    if pull.cut_plan is None:
        return []
    planned = pull.cut_plan.pulls.filter(state=Pull.State.PLANNED)
    return list(planned.order_by("workorder_id"))


def rolls_there(film: Film) -> QuerySet[RollRow]:
    """Rolls of a film that still hold something."""
    return film.rolls.filter(retired_at=None, left_mm__gt=0)


def roll_said(roll: RollRow) -> str:
    """A roll in a list of them: its code, lot and what is left."""
    system = the_shop().system
    width = str(show(roll.width_mm, unit="mm", system=system))
    left = str(show(roll.left_mm / 1000, unit="m", system=system))
    lot = f"{gettext('lot')} {roll.lot}" if roll.lot else ""
    return " · ".join(part for part in (roll.code, lot, width, left) if part)


def offcuts_there(film: Film) -> QuerySet[OffCut]:
    """Off-cuts of a film on the shelf."""
    return film.offcuts.filter(used_at=None, scrapped_at=None)


def pull_job(
    film: Film,
    wanted: Iterable[tuple[WorkOrder, Sequence[OrderPanel]]],
    *,
    taken: Mapping[str, int] = NOTHING,
    ended: Collection[str] = (),
    used: Collection[str] = (),
) -> PullJob:
    """The panels of one order, or of several, and the film on the shelf.

    taken, ended, used  lengths, rolls and off-cuts that are being taken just now
    """
    orders = list(wanted)
    alone = len(orders) == 1
    return PullJob(
        film_code=film.code,
        may_turn=not film.is_directional,
        panels=tuple(
            panel
            for workorder, panels in orders
            for panel in to_cut(workorder, panels, alone=alone)
        ),
        rolls=tuple(
            _roll(roll, film, left_mm=roll.left_mm - taken.get(roll.code, 0))
            for roll in rolls_there(film)
            if roll.code not in ended
        ),
        offcuts=tuple(
            Offcut(
                id=offcut.code,
                width_mm=offcut.width_mm,
                length_mm=offcut.length_mm,
                lot=offcut.roll.lot,
            )
            for offcut in offcuts_there(film).select_related("roll")
            if offcut.code not in used
        ),
        one_lot=lots_show(film.finish),
        lot_on_car=_lot_on_cars([order for order, _panels in orders]),
    )


def _lot_on_cars(orders: Sequence[WorkOrder]) -> str:
    """The one lot of the film on these cars; empty where there is none, or several."""
    lots = {lot for order in orders for lot in lots_taken(order)}
    return lots.pop() if len(lots) == 1 else ""


@once_a_page
def lots_taken(order: WorkOrder) -> frozenset[str]:
    """Lots of the film that was taken for an order, in any round."""
    moved = order.movements.filter(what__in=TAKEN_BY)
    return frozenset(moved.values_list("roll__lot", flat=True))


def _roll(roll: RollRow, film: Film, *, left_mm: int) -> Roll:
    return Roll(
        id=roll.code,
        width_mm=roll.width_mm,
        remaining_mm=max(0, left_mm),
        lot=roll.lot,
        cost_per_m=cost_per_m(
            roll_cost_per_m=roll.cost_per_m,
            film_cost_per_m2=film.cost_per_m2,
            width_mm=roll.width_mm,
        ),
    )


def to_cut(
    workorder: WorkOrder, panels: Sequence[OrderPanel], *, alone: bool
) -> list[PanelToCut]:
    body = Body(workorder.vehicle.body)
    car = workorder.vehicle.short_name
    sizes = sizes_of(workorder, [panel.panel for panel in panels])
    shop = allowances()
    found = []
    for panel in panels:
        name = panel_name(panel.panel, body=body)
        choice = panel.choice
        found.append(
            PanelToCut(
                id=panel.panel if alone else f"{workorder.number} {panel.panel}",
                panel=panel.panel,
                name=name if alone else f"{car}: {name}",
                group=workorder.number,
                blank=panel_blank(
                    choice,
                    size=sizes[panel.panel],
                    body=body,
                    allowance=allowance_for(choice, shop=shop),
                ),
                by_hand=choice.method is Method.HAND_FITTED,
            )
        )
    return found


def orders_waiting() -> dict[Film, list[tuple[WorkOrder, int]]]:
    """Orders with panels to cut, by film, with how many panels."""
    orders = (
        WorkOrder.objects.exclude(stage=CLOSED.value)
        .select_related("vehicle", "film")
        .prefetch_related("panels", "pulls")
    )
    found: dict[Film, list[tuple[WorkOrder, int]]] = {}
    for order in orders:
        if panels := panels_to_cut(order):
            found.setdefault(order.film, []).append((order, len(panels)))
    return found


def quick_plan(
    film: Film,
    wanted: Iterable[tuple[WorkOrder, Sequence[OrderPanel]]],
    *,
    spoilt: Sequence[str] = (),
) -> FrozenPull:
    """A plan made before the action: milliseconds, no engine."""
    return quick_plan_of(pull_job(film, wanted), spoilt=spoilt)


def quick_plan_of(job: PullJob, *, spoilt: Sequence[str] = ()) -> FrozenPull:
    """The same for a job that is known already."""
    return frozen(plan_job(job, budget=QUICK), shop=the_shop(), spoilt=spoilt)


def frozen(found: PlannedPull, *, shop: Shop, spoilt: Sequence[str] = ()) -> FrozenPull:
    """A planned pull drawn in the shop's units and language."""

    def translate(sentence: Say) -> str:
        return tell(sentence, system=shop.system)

    return freeze(found, system=shop.system, translate=translate, spoilt=spoilt)
