"""What a pull is planned from, and what the film page of an order shows."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from itertools import groupby
from types import MappingProxyType

from django.db.models import QuerySet
from django.utils.translation import gettext

from jobs.coverage.allowances import allowance_for
from jobs.coverage.blanks import panel_blank
from jobs.coverage.catalogue import (
    Badge,
    Body,
    Edge,
    Method,
    PanelChoice,
    Seam,
    panel_name,
)
from jobs.coverage.measured_queries import allowances
from jobs.film.lots import lots_show
from jobs.film.money import MM_PER_M, PullMoney, cost_per_m, film_cost, pull_money
from jobs.models import Film, FilmMovement, OffCut, OrderPanel, Paper, Pull, WorkOrder
from jobs.models import Roll as RollRow
from jobs.nesting import Offcut, Roll
from jobs.nesting.drawing import Drawing
from jobs.pulls.claims import claim
from jobs.pulls.cut_words import cut_sentences
from jobs.pulls.kept_queries import kept_mm2
from jobs.pulls.plan import (
    QUICK,
    PanelToCut,
    PlannedPull,
    PullJob,
    no_plan_below_m,
    plan_job,
    pull_length_m,
    saved_m,
    waste_of,
)
from jobs.pulls.stored import (
    FrozenPull,
    drawings_from_json,
    freeze,
    pull_from_json,
)
from jobs.solutions.request_queries import sizes_of
from jobs.stages.table import CLOSED
from shopapp.figures import Figure
from shopapp.models import Shop, the_shop
from shopapp.once import once_a_page
from shopapp.say import Say
from shopapp.telling import show, tell

ZERO = Decimal(0)
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


def label_papers(pulls: Iterable[Pull]) -> dict[int, Paper]:
    """The labels of the off-cuts that each pull left, the newest version of them."""
    subjects = {f"pull {pull.pk}": pull.pk for pull in pulls}
    papers = Paper.objects.filter(
        kind=Paper.Kind.OFFCUT_LABEL, subject__in=subjects
    ).order_by("version")
    return {subjects[paper.subject]: paper for paper in papers.defer("facts")}


def offcuts_gone(shown: PullShown) -> list[OffCut]:
    """Off-cuts that the plan cuts from and that somebody has used meanwhile."""
    wanted = OffCut.objects.filter(code__in=shown.found.plan.used_offcuts)
    return list(wanted.exclude(used_at=None, scrapped_at=None))


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
    car = workorder.vehicle.plate or workorder.number
    sizes = sizes_of(workorder, [panel.panel for panel in panels])
    shop = allowances()
    found = []
    for panel in panels:
        name = panel_name(panel.panel, body=body)
        choice = choice_of(panel)
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


def choice_of(panel: OrderPanel) -> PanelChoice:
    """What was agreed for the panel, as the pure rooms know it."""
    return PanelChoice(
        panel=panel.panel,
        method=Method(panel.method),
        edge=Edge(panel.edge),
        badge=Badge(panel.badge),
        seam=Seam(panel.seam),
        seam_at=panel.note,
    )


@dataclass(frozen=True, kw_only=True)
class PullShown:
    """A pull as the page shows it: read from what was frozen, never planned anew."""

    row: Pull
    found: PlannedPull
    drawings: tuple[Drawing, ...]
    length: Figure
    bound: Figure
    waste: Figure | None
    saved: Figure

    @property
    def gap_pct(self) -> float | None:
        """How far the plan may be from the best one, in percent of the bound.

        None off rolls of several widths: a metre is not the same film on each.
        """
        plan, rolls = self.found.plan, self.found.job.rolls
        used = {pull.roll_id for pull in plan.pulls}
        if len({roll.width_mm for roll in rolls if roll.id in used}) > 1:
            return None
        return (plan.length_mm / plan.bound_mm - 1) * 100 if plan.bound_mm else 0.0

    @property
    def claim(self) -> Say | None:
        """How good the plan is; nothing while it is searched, or was not followed."""
        if self.is_searching or self.row.taken_mm not in (None, self.row.planned_mm):
            return None
        return claim(self.found.plan, bound=self.bound, gap_pct=self.gap_pct)

    @property
    def orders(self) -> list[str]:
        """Numbers of the orders that were planned together, or none."""
        numbers = dict.fromkeys(panel.group for panel in self.found.job.panels)
        return list(numbers) if len(numbers) > 1 else []

    @property
    def planned_panels(self) -> int:
        """How many panels are in the plan."""
        return len(self.found.plan.placements)

    @property
    def is_searching(self) -> bool:
        """Whether a worker still looks for a shorter plan."""
        return self.row.state == Pull.State.PLANNED and not self.row.searched

    @property
    def seen(self) -> str:
        """Changes when the page has something new to show."""
        return f"{self.row.pk}-{self.row.searched:d}"

    @property
    def steps(self) -> list[tuple[str, list[tuple[int, Say]]]]:
        """The cuts in order, under the roll or off-cut they are made on."""
        job, plan = self.found.job, self.found.plan
        widths = {roll.id: roll.width_mm for roll in job.rolls}
        lengths = {pull.roll_id: pull.length_mm for pull in plan.pulls}
        for offcut in job.offcuts:
            widths[offcut.id], lengths[offcut.id] = offcut.width_mm, offcut.length_mm
        return [
            (
                source,
                cut_sentences(
                    list(cuts), width_mm=widths[source], length_mm=lengths[source]
                ),
            )
            for source, cuts in groupby(plan.cuts, lambda c: c.source_id)
        ]


def pull_shown(pull: Pull) -> PullShown:
    """A stored pull with its figures."""
    found = pull_from_json(pull.plan)
    plan = found.plan
    widths = {roll.id: roll.width_mm for roll in found.job.rolls}
    used = [widths[taken.roll_id] for taken in plan.pulls]
    return PullShown(
        row=pull,
        found=found,
        drawings=drawings_from_json(pull.plan),
        length=pull_length_m(pulls_mm=[taken.length_mm for taken in plan.pulls]),
        bound=no_plan_below_m(
            bound_mm=plan.bound_mm,
            blanks=len(plan.placements),
            width_mm=max(used, default=0),
        ),
        waste=waste_of(
            found,
            real_share=_real_share(pull),
            cut=_cut(pull),
            kept_mm2=kept_mm2(pull),
        ),
        saved=saved_m(singly_mm=found.singly_mm, pulled_mm=plan.length_mm),
    )


def _cut(pull: Pull) -> set[tuple[str, str]] | None:
    """Order and panel of what a plan was cut into, once its film is taken."""
    if pull.state != Pull.State.TAKEN or pull.cut_plan is None:
        return None
    pulls = pull.cut_plan.pulls.select_related("workorder")
    return {(each.workorder.number, code) for each in pulls for code in each.cut_panels}


def _real_share(pull: Pull) -> float:
    """Length really taken, in parts of the planned one; 1 until it is taken."""
    if pull.taken_mm is None or not pull.planned_mm:
        return 1.0
    return pull.taken_mm / pull.planned_mm


def money_of(shown: PullShown) -> PullMoney | None:
    """This order's part of a pull in money, or None where its film has no cost."""
    costs = {roll.id: roll.cost_per_m for roll in shown.found.job.rolls}
    plan, row = shown.found.plan, shown.row
    lengths = [(pull.length_mm, costs[pull.roll_id]) for pull in plan.pulls]
    known = [film_cost(length_mm=mm, per_m=per_m) for mm, per_m in lengths if per_m]
    if not lengths or len(known) < len(lengths):
        return None
    return pull_money(
        per_m=sum(known, ZERO) * MM_PER_M / plan.length_mm,
        planned_mm=row.planned_mm,
        taken_mm=row.taken_mm,
        singly_mm=shown.found.singly_mm * row.planned_mm // plan.length_mm,
        waste_pct=shown.waste.value if shown.waste else 0.0,
    )


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
