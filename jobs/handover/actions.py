"""Hand-over: the car given back, the order closed."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime

from jobs.condition.agreement_actions import check_how
from jobs.handover.queries import recheck_from
from jobs.models import Paper, WorkOrder
from jobs.papers.actions import ask_paper
from jobs.stages.table import CLOSED
from jobs.workorders.actions import enter, hear_the_rules
from shopapp.frame import Act, Refused, action
from shopapp.say import say


@action("handover.give")
def give_car(
    act: Act,
    *,
    workorder_pk: int,
    how: str,
    reasons: Mapping[str, str] | None = None,
    recheck_at: datetime | None = None,
) -> None:
    """Give the car back: the order closes, its bay is free, the recheck is set.

    how         by which the customer agreed
    reasons     what was written against rules of the level "reason", by rule code
    recheck_at  when the car comes back; the first day of the usual window if unsaid
    """
    workorder = act.lock(WorkOrder, workorder_pk)
    if workorder.is_closed:
        raise Refused(say("This car has been handed over already."))
    if how:
        check_how(workorder, how=how)
        workorder.hand_over_agreed = how
    written = hear_the_rules(act, workorder, to=CLOSED, reasons=reasons or {})
    left = {"bay": workorder.bay_id, "place": workorder.place_id}
    workorder.bay = workorder.place = None
    workorder.handed_over_at = act.now
    workorder.recheck_at = recheck_at or recheck_from(workorder, at=act.now)
    enter(workorder, to=CLOSED, at=act.now)
    act.event(
        workorder,
        "handed_over",
        how=how,
        recheck_at=workorder.recheck_at,
        overridden=written,
        **left,
    )
    # A car that came back and got no film has no fresh film to care for.
    laid = workorder.panels.filter(laid_at__isnull=False)
    if not workorder.return_of_id or laid.exists():
        # A row and a bell, and the worker prints: no printer holds the car.
        ask_paper(act, kind=Paper.Kind.CARE, workorder=workorder)
