"""The customer's secret address, and what a customer asks for through it."""

from __future__ import annotations

from datetime import date, datetime, timedelta

from django.utils import timezone

from jobs.models import WorkOrder
from jobs.opening.queries import opening_of
from shopapp.frame import Act, Refused, action
from shopapp.models import the_shop
from shopapp.say import say

FURTHEST_RECHECK = timedelta(days=365)


@action("recheck.ask")
def ask_for_recheck(act: Act, *, workorder_pk: int, on: date) -> None:
    """The customer asks for a day to have the film looked at again."""
    workorder = act.lock(WorkOrder, workorder_pk)
    if not workorder.is_closed:
        raise Refused(say("The car is still here; we look at it before you collect."))
    today = timezone.localtime(act.now, the_shop().zone).date()
    if on < today:
        raise Refused(say("This day has passed. Choose a later one."), field="on")
    if on > today + FURTHEST_RECHECK:
        raise Refused(say("Choose a day within a year."), field="on")
    if opening_of().hours_on(on) is None:
        raise Refused(say("We are closed on that day. Choose another."), field="on")
    act.event(workorder, "recheck_asked", on=on)


@action("recheck.book")
def book_recheck(act: Act, *, workorder_pk: int, at: datetime) -> None:
    """Set when the car comes back to be looked at."""
    workorder = act.lock(WorkOrder, workorder_pk)
    if at < act.now:
        raise Refused(say("This time has passed. Choose a later one."), field="at")
    workorder.recheck_at = at
    workorder.save(update_fields=["recheck_at"])
    act.event(workorder, "recheck_booked", at=at)
