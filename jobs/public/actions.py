"""The customer's secret address, and what a customer asks for through it."""

from __future__ import annotations

from datetime import date, datetime, timedelta

from django.utils import timezone

from jobs.limits import LINK_DAYS
from jobs.models import CustomerLink, WorkOrder
from jobs.opening.queries import opening_of
from shopapp.frame import Act, Json, Refused, action
from shopapp.models import the_shop
from shopapp.say import say

FURTHEST_RECHECK = timedelta(days=365)


@action("link.make")
def make_link(act: Act, *, workorder_pk: int, token_hash: str, days: int) -> Json:
    """Open the order to whoever holds the token; only its hash is known here."""
    workorder = act.lock(WorkOrder, workorder_pk)
    if not LINK_DAYS.holds(days):
        raise Refused(
            say("A link is good for 1 to {most} days.", most=int(LINK_DAYS.high)),
            field="days",
        )
    link = CustomerLink.objects.create(
        workorder=workorder,
        token_hash=token_hash,
        made_by=act.tap.by,
        made_at=act.now,
        expires_at=act.now + timedelta(days=days),
    )
    act.event(workorder, "link_made", link=link, expires_at=link.expires_at)
    return {"pk": link.pk}


@action("link.revoke")
def revoke_link(act: Act, *, workorder_pk: int, link_pk: int) -> None:
    """Shut a link."""
    workorder = act.lock(WorkOrder, workorder_pk)
    link = CustomerLink.objects.filter(pk=link_pk, workorder=workorder).first()
    if link is None:
        raise Refused(say("This link is not there any more."))
    if link.revoked_at:
        raise Refused(say("This link is shut already."))
    link.revoked_at = act.now
    link.save(update_fields=["revoked_at"])
    act.event(workorder, "link_revoked", link=link)


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
