"""A return visit as its customer reads it."""

from __future__ import annotations

from dataclasses import dataclass

from django.utils.translation import gettext

from jobs.coverage.catalogue import Body, panel_name
from jobs.models import Booking, Defect, WorkOrder
from jobs.public.return_words import CAME_OF_IT, FAULTS, IS_BACK, PAYS
from jobs.returns.queries import open_visit, visit_of
from jobs.returns.rules import WITH_FILM
from shopapp.say import Say, say


@dataclass(frozen=True, kw_only=True)
class ToldFault:
    """One thing, in words, and what came of it."""

    panel: str
    kind: str
    outcome: Say
    is_settled: bool


@dataclass(frozen=True, kw_only=True)
class ReturnTold:
    """Why a car is back.

    with_film  new film is laid, so that it is said what is covered and how to care
    """

    faults: list[ToldFault]
    pays: Say | None
    with_film: bool


def return_told(row: WorkOrder | Booking) -> ReturnTold | None:
    """What the car of an order, or of a booking, is back for; None where it is not."""
    if isinstance(row, WorkOrder) and not row.return_of_id:
        return None
    visit = visit_of(row)
    if visit is None:
        return None
    defects = list(visit.defects.all())
    return ReturnTold(
        faults=[_told(each) for each in defects],
        pays=PAYS[visit.paid_by],
        with_film=any(each.state in WITH_FILM for each in defects),
    )


def _told(defect: Defect) -> ToldFault:
    body = Body(defect.workorder.vehicle.body)
    known = FAULTS.get(defect.kind)
    return ToldFault(
        panel=gettext(panel_name(defect.order_panel.panel, body=body)),
        kind=gettext(known.text) if known else "",
        outcome=CAME_OF_IT[defect.state],
        is_settled=defect.state not in (Defect.State.OPEN, Defect.State.REDO),
    )


def back_again(order: WorkOrder) -> Say | None:
    """Said on the page of an order that is over, while its car is back or comes."""
    visit = open_visit(order.return_of or order)
    if visit is None:
        return None
    if visit.order:
        return IS_BACK
    return say("Your car comes back to us on {day}.", day=visit.booking.arrives_at)
