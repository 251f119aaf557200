"""What came back: the film it is about, how that was laid, and what was done."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import datetime

from django.db.models import Q, QuerySet, prefetch_related_objects
from django.utils.translation import gettext

from jobs.coverage.catalogue import Body, panel_name
from jobs.findings.queries import Line, lines_of
from jobs.findings.record_queries import OrderRead, PanelPast, panel_past, read_order
from jobs.findings.trace import Verdict, defect_kinds, likely_causes
from jobs.models import (
    Booking,
    CustomerReport,
    Defect,
    FilmMovement,
    OrderPanel,
    ReturnVisit,
    WorkOrder,
)
from jobs.returns.rules import OUTCOMES, is_undecided
from jobs.stages.table import CLOSED
from shopapp.say import Say, say
from shopapp.telling import when


def first_order(order: WorkOrder) -> WorkOrder:
    """The order that all its return visits are of: never a return visit itself."""
    return order.return_of or order


def film_on(order: WorkOrder, *, but: WorkOrder | None = None) -> dict[str, OrderPanel]:
    """The film on the car as this order and its return visits left it, by panel.

    order  one that is no return visit
    but    a return visit that is not asked: the car is on it now
    """
    rows = (
        OrderPanel.objects.filter(Q(workorder=order) | Q(workorder__return_of=order))
        .filter(laid_at__isnull=False, struck_off_at=None)
        .exclude(workorder=but)
        .select_related("workorder__film", "workorder__vehicle", "laid_by", "reading")
        .order_by("laid_at", "pk")
    )
    newest = {row.panel: row for row in rows}
    # As the order has them: front to rear.
    return dict(sorted(newest.items(), key=lambda item: item[1].pk))


def named(defect: Defect) -> str:
    """What came back, in words: "front bumper: lifted edge"."""
    body = Body(defect.workorder.vehicle.body)
    name = panel_name(defect.order_panel.panel, body=body)
    known = defect_kinds().get(defect.kind)
    return f"{name}: {known.name if known else defect.kind.replace('_', ' ')}"


def named_all(defects: Iterable[Defect]) -> str:
    """Several of them, one after the other."""
    return "; ".join(named(each) for each in defects)


@dataclass(frozen=True, kw_only=True)
class Fault:
    """One thing that the car came back for, with how its film was laid.

    rolls   roll and lot of the film
    likely  the usual causes that the record of that day points to
    """

    defect: Defect
    name: str
    past: PanelPast
    rolls: tuple[str, ...]
    likely: list[Line]

    @property
    def panel(self) -> OrderPanel:
        """The panel whose film it is in, as it was laid."""
        return self.defect.order_panel

    @property
    def outcome(self) -> Say:
        """What came of it."""
        return OUTCOMES[self.defect.state]

    @property
    def is_open(self) -> bool:
        """Whether nobody has said what is done about it."""
        return is_undecided(self.defect.state)


def faults_of(visit: ReturnVisit) -> list[Fault]:
    """What it came back for, each beside the record of its film."""
    defects = list(
        visit.defects.select_related(
            "workorder__vehicle", "order_panel__laid_by", "photo", "settled_by"
        ).order_by("pk")
    )
    orders = {each.workorder_id: each.workorder for each in defects}
    known = {pk: read_order(order) for pk, order in orders.items()}
    rolls = rolls_of([each.order_panel for each in defects])
    return [
        _fault(each, known[each.workorder_id], rolls.get(each.order_panel_id, ()))
        for each in defects
    ]


def _fault(defect: Defect, known: OrderRead, rolls: tuple[str, ...]) -> Fault:
    past = panel_past(
        defect.workorder,
        defect.order_panel,
        kind=defect.kind,
        round=defect.round,
        known=known,
    )
    causes = likely_causes(defect.kind, record=past.record)
    pointed = [cause for cause in causes if cause.verdict is Verdict.POINTS_TO]
    return Fault(
        defect=defect,
        name=named(defect),
        past=past,
        rolls=rolls,
        likely=lines_of(pointed),
    )


def laid_told(fault: Fault) -> str:
    """A fault and how its film was laid, in one line for a paper."""
    by = str(fault.panel.laid_by or "")
    laid = fault.panel.laid_at
    hands = gettext("laid by %(who)s, %(at)s") % {
        "who": by,
        "at": when(laid) if laid else "–",
    }
    batches = ", ".join(batch.number for batch in fault.past.batches)
    parts = [fault.defect.note, hands, *fault.rolls, batches]
    return f"{fault.name}. {'; '.join(part for part in parts if part)}"


def rolls_of(panels: Collection[OrderPanel]) -> dict[int, tuple[str, ...]]:
    """Roll and lot that the film of each panel came from."""
    by_pull: dict[int, dict[str, None]] = {}
    taken = FilmMovement.objects.filter(
        pull__in={panel.pull_id for panel in panels if panel.pull_id},
        roll__isnull=False,
    )
    for movement in taken.select_related("roll").order_by("pk"):
        assert movement.roll is not None
        assert movement.pull_id is not None
        told = movement.roll.code
        if movement.roll.lot:
            told = f"{told}, lot {movement.roll.lot}"
        by_pull.setdefault(movement.pull_id, {})[told] = None
    return {panel.pk: tuple(by_pull.get(panel.pull_id or 0, ())) for panel in panels}


@dataclass(frozen=True, kw_only=True)
class CameBack:
    """A return visit as the order that it is of tells it."""

    visit: ReturnVisit
    defects: list[Defect]

    @property
    def order(self) -> WorkOrder | None:
        """Its own order."""
        return self.visit.order

    @property
    def at(self) -> datetime:
        """When the car came back, or is to come."""
        return self.order.arrived_at if self.order else self.visit.booking.arrives_at

    @property
    def told(self) -> list[tuple[str, Say]]:
        """Each thing and what came of it."""
        return [(named(each), OUTCOMES[each.state]) for each in self.defects]

    @property
    def is_off(self) -> bool:
        """Whether its booking was cancelled."""
        return self.visit.booking.state == Booking.State.CANCELLED


def _visits() -> QuerySet[ReturnVisit]:
    return ReturnVisit.objects.select_related(
        "booking__workorder", "of__vehicle", "of__customer"
    ).prefetch_related("defects__workorder__vehicle", "defects__order_panel")


def came_back(order: WorkOrder) -> list[CameBack]:
    """Every return visit of an order, oldest first."""
    return [_shown(visit) for visit in _visits().filter(of=order).order_by("pk")]


def _shown(visit: ReturnVisit) -> CameBack:
    return CameBack(visit=visit, defects=list(visit.defects.all()))


def of_booking(booking: Booking) -> CameBack | None:
    """What a booked car comes back for; None where it comes for something new."""
    visit = visit_of(booking)
    return _shown(visit) if visit else None


def visit_of(row: WorkOrder | Booking) -> ReturnVisit | None:
    """The return visit that an order or a booking is for."""
    booking = row.booking_id if isinstance(row, WorkOrder) else row.pk
    return _visits().filter(booking=booking).first() if booking else None


def open_visit(order: WorkOrder) -> ReturnVisit | None:
    """The return visit of this order that waits for its car, or has it in."""
    waits = Q(booking__state=Booking.State.BOOKED)
    here = Q(booking__workorder__isnull=False)
    here &= ~Q(booking__workorder__stage=CLOSED.value)
    return _visits().filter(waits | here, of=order).first()


def why_not_again(visit: ReturnVisit) -> Say:
    """Why no second return visit begins while one is open, and what to do."""
    if visit.order:
        return say(
            "This car is back already, on {order}: write there what else is wrong.",
            order=visit.order.number,
        )
    return say(
        "This car is to come back on {day} already. Take it in, or cancel that first.",
        day=visit.booking.arrives_at,
    )


def to_settle() -> list[CameBack]:
    """Return visits that are over, and who pays or what was found is not known."""
    over = _visits().filter(booking__workorder__stage=CLOSED.value)
    rows = over.filter(Q(paid_by="") | Q(defects__state=Defect.State.OPEN))
    return [_shown(visit) for visit in rows.distinct().order_by("begun_at", "pk")]


def last_settled(order: WorkOrder) -> datetime | None:
    """When the last thing that the car came back for was settled."""
    visit = visit_of(order)
    at = [each.settled_at for each in visit.defects.all()] if visit else []
    return max((each for each in at if each), default=None)


def reports_about(order: WorkOrder) -> QuerySet[CustomerReport]:
    """What the customer wrote about the film of an order, and nobody has answered."""
    mine = Q(workorder=order) | Q(workorder__return_of=order)
    rows = CustomerReport.objects.filter(mine, settled_at=None)
    return rows.select_related("workorder__vehicle", "workorder__customer").order_by(
        "pk"
    )


def bare_returns() -> set[int]:
    """Open orders of cars that came back and leave with the film that they have."""
    wait = ReturnVisit.objects.filter(defects__state=Defect.State.OPEN)
    film = OrderPanel.objects.filter(struck_off_at=None)
    orders = WorkOrder.objects.filter(booking__return_visit__isnull=False)
    open_ones = orders.exclude(stage=CLOSED.value).exclude(panels__in=film)
    return set(
        open_ones.exclude(booking__return_visit__in=wait).values_list("pk", flat=True)
    )


@dataclass(frozen=True, kw_only=True)
class LaidAlike:
    """Panels of one pair of hands, roll, bottle and reading.

    panel  one of them
    """

    names: list[str]
    panel: OrderPanel
    rolls: tuple[str, ...]


def laid_film(order: WorkOrder) -> list[LaidAlike]:
    """The film on the car, as it was laid; panels that were laid alike together."""
    body, rows = Body(order.vehicle.body), list(film_on(order).values())
    prefetch_related_objects(rows, "batches")
    rolls = rolls_of(rows)
    found: dict[object, LaidAlike] = {}
    for row in rows:
        batches = tuple(batch.pk for batch in row.batches.all())
        alike = (row.laid_by_id, rolls[row.pk], batches, row.reading_id)
        known = LaidAlike(names=[], panel=row, rolls=rolls[row.pk])
        found.setdefault(alike, known).names.append(panel_name(row.panel, body=body))
    return list(found.values())
