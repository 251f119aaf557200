"""Secret addresses: made for an estimate, a booking or an order, and shut."""

from __future__ import annotations

from datetime import timedelta

from jobs.estimates.actions import note_sent
from jobs.limits import LINK_DAYS
from jobs.models import (
    Booking,
    CustomerEstimate,
    CustomerLink,
    EstimateVersion,
    WorkOrder,
)
from jobs.public.link_queries import (
    Linked,
    address_of,
    hash_of,
    links_of,
    token_of,
)
from shopapp.frame import Act, Json, Refused, action
from shopapp.say import say

USUAL_DAYS = 60


@action("link.make")
def make_link(
    act: Act,
    *,
    token_hash: str,
    days: int,
    workorder_pk: int | None = None,
    booking_pk: int | None = None,
    estimate_pk: int | None = None,
) -> Json:
    """Let whoever holds the token look in; only its hash is known here."""
    row = _locked(act, workorder_pk, booking_pk, estimate_pk)
    return {"pk": _open(act, row, token_hash=token_hash, days=days).pk}


def open_link(
    act: Act,
    *,
    key: str,
    days: int = USUAL_DAYS,
    workorder: WorkOrder | None = None,
    booking: Booking | None = None,
    estimate: CustomerEstimate | None = None,
) -> str:
    """A whole secret address for a mail or a text that is about to go out.

    key       a random key of its own: the same key gives the same address
    estimate  locked by the caller; it counts as sent from now on
    """
    token, row = token_of(key=key), workorder or booking or estimate
    if row is None:
        raise ValueError("a link is to something")
    _open(act, row, token_hash=hash_of(token), days=days)
    return address_of(token)


@action("link.revoke")
def revoke_link(
    act: Act,
    *,
    link_pk: int,
    workorder_pk: int | None = None,
    booking_pk: int | None = None,
    estimate_pk: int | None = None,
) -> None:
    """Shut a link."""
    row = _locked(act, workorder_pk, booking_pk, estimate_pk)
    link = links_of(row).filter(pk=link_pk).first()
    if link is None:
        raise Refused(say("This link is not there any more."))
    if link.revoked_at:
        raise Refused(say("This link is shut already."))
    link.revoked_at = act.now
    link.save(update_fields=["revoked_at"])
    act.event(row, "link_revoked", link=link)


def _locked(
    act: Act,
    workorder_pk: int | None,
    booking_pk: int | None,
    estimate_pk: int | None,
) -> Linked:
    row = lock_linked(act, workorder_pk, booking_pk, estimate_pk)
    if isinstance(row, Booking) and row.state == Booking.State.CANCELLED:
        raise Refused(say("This booking was cancelled. Take the cancelling back."))
    return row


def lock_linked(
    act: Act,
    workorder_pk: int | None,
    booking_pk: int | None,
    estimate_pk: int | None,
) -> Linked:
    """The row of the one key that is given, locked."""
    if workorder_pk is not None:
        return act.lock(WorkOrder, workorder_pk)
    if estimate_pk is not None:
        return act.lock(CustomerEstimate, estimate_pk)
    if booking_pk is None:
        raise Refused(say("Choose a booking or a work order."))
    return act.lock(Booking, booking_pk)


def _open(act: Act, row: Linked, *, token_hash: str, days: int) -> CustomerLink:
    if not LINK_DAYS.holds(days):
        raise Refused(
            say("A link is good for 1 to {most} days.", most=int(LINK_DAYS.high)),
            field="days",
        )
    link = CustomerLink.objects.create(
        workorder=row if isinstance(row, WorkOrder) else None,
        booking=row if isinstance(row, Booking) else None,
        estimate=row if isinstance(row, CustomerEstimate) else None,
        token_hash=token_hash,
        made_by=act.tap.by,
        made_at=act.now,
        expires_at=act.now + timedelta(days=days),
    )
    act.event(row, "link_made", link=link, expires_at=link.expires_at)
    if isinstance(row, CustomerEstimate):
        note_sent(act, row, how=EstimateVersion.Sent.LINK)
    return link
