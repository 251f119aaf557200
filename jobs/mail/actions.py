"""Mails: written down when they are due, begun and ended, asked for, seen to."""

from __future__ import annotations

from datetime import datetime

from jobs.estimates.actions import note_sent
from jobs.estimates.queries import acceptance_of, newest_version
from jobs.mail.due_queries import FIELDS, Due, about_of
from jobs.mail.queries import kinds_of, mail_rule, no_address
from jobs.mail.times import FRESH, PAUSES, next_try
from jobs.models import (
    Booking,
    CustomerEstimate,
    CustomerLink,
    EstimateVersion,
    Mail,
)
from jobs.public.link_actions import lock_linked, open_link
from jobs.public.link_queries import Linked, hash_of, is_reachable, token_of
from shopapp import background
from shopapp.frame import Act, Json, Refused, action
from shopapp.say import say

SEND = "solvers.mail"
State = Mail.State
TRIAL = "trial"


@action("mail.write")
def write_mails(act: Act, *, due: list[Due]) -> None:
    """Write down what is due, and have it sent; what came too late is left out."""
    for each in due:
        late = each.not_after <= act.now
        mail, is_new = Mail.objects.get_or_create(
            kind=each.kind,
            way=Mail.Way.MAIL,
            about=each.about,
            due=each.due,
            defaults={
                **_subject(each.row),
                "not_after": each.not_after,
                "next_at": act.now,
                "asked_at": act.now,
                "state": State.DROPPED if late else State.WAITING,
                "said": "It came too late: the program did not run." if late else "",
                "ended_at": act.now if late else None,
            },
        )
        if is_new and not late:
            _ring(act, mail)


@action("mail.send")
def send_mail(
    act: Act,
    *,
    kind: str,
    workorder_pk: int | None = None,
    booking_pk: int | None = None,
    estimate_pk: int | None = None,
) -> Json:
    """Write to the customer because somebody wants it."""
    row = lock_linked(act, workorder_pk, booking_pk, estimate_pk)
    act.unchanged(row)
    if reason := no_address(row.customer):
        raise Refused(reason)
    mail = _write(act, row, kind, way=Mail.Way.MAIL)
    _ring(act, mail)
    return {"pk": mail.pk}


@action("mail.text")
def text_customer(
    act: Act,
    *,
    kind: str,
    link_key: str,
    workorder_pk: int | None = None,
    booking_pk: int | None = None,
    estimate_pk: int | None = None,
) -> Json:
    """Open a link for a text that somebody sends from their own telephone.

    link_key  of which the link is made: the same press, the same address
    """
    row = lock_linked(act, workorder_pk, booking_pk, estimate_pk)
    if not row.customer.phone:
        raise Refused(say("{name} has no telephone number.", name=row.customer.name))
    mail = _write(act, row, kind, way=Mail.Way.TEXT, key=link_key)
    if is_reachable():
        _open_link(act, row, key=link_key)
    _end(act, mail, State.SENT)
    return {"pk": mail.pk}


@action("mail.try")
def try_mail(act: Act, *, to: str) -> None:
    """Send a trial to see what the mail server says."""
    mail = Mail.objects.create(
        kind=TRIAL,
        about="",
        due=act.now,
        not_after=act.now + FRESH,
        next_at=act.now,
        to=to,
        asked_by=act.by,
        asked_at=act.now,
    )
    _ring(act, mail)


@action("mail.begin")
def begin_mail(act: Act, *, mail_pk: int) -> Json:
    """Before a mail goes out: is it still wanted? Its link is opened.

    One that was begun before and never ended may have gone: that is said, and it is
    not sent again by itself.
    """
    row = _row_of(act, mail_pk)
    mail = act.lock(Mail, mail_pk)
    if row is not None:
        act.unchanged(row)
    if mail.state == State.SENDING:
        _end(act, mail, State.UNSURE, "The program stopped while it was being sent.")
        return {"go": False}
    if mail.state != State.WAITING or mail.next_at > act.now:
        return {"go": False}
    if dropped := _not_wanted(mail, row, now=act.now):
        _end(act, mail, State.DROPPED, dropped)
        return {"go": False}
    if row is not None:
        mail.to = row.customer.email
        if is_reachable():
            if isinstance(row, CustomerEstimate):
                note_sent(act, row, how=EstimateVersion.Sent.MAIL)
            _open_link(act, row, key=mail.key)
    mail.state = State.SENDING
    mail.tries += 1
    mail.save(update_fields=["state", "tries", "to"])
    return {"go": True}


@action("mail.end")
def end_mail(act: Act, *, mail_pk: int, state: str, said: str) -> None:
    """After a try: it went, it was refused, perhaps it went, or it waits again.

    state  a `Mail.State`; "waiting" where no server answered
    """
    row = _row_of(act, mail_pk)
    mail = act.lock(Mail, mail_pk)
    if row is not None:
        act.unchanged(row)
    if mail.state != State.SENDING:
        return
    if state != State.WAITING:
        _end(act, mail, State(state), said)
        return
    again = next_try(tries=mail.tries, now=act.now, not_after=mail.not_after)
    if again is None:
        _end(act, mail, State.REFUSED, said)
        return
    mail.state, mail.said, mail.next_at = State.WAITING, said[:300], again
    mail.save(update_fields=["state", "said", "next_at"])
    # Nobody may answer there now: the others need not all find out by waiting.
    soon = act.now + PAUSES[0]
    Mail.objects.filter(state=State.WAITING, next_at__lt=soon).update(next_at=soon)


@action("mail.settle")
def settle_mail(act: Act, *, mail_pk: int, how: str) -> None:
    """Somebody saw to a mail that did not go, or perhaps did.

    how  "seen_to", or "again" to send it once more
    """
    row = _row_of(act, mail_pk)
    mail = act.lock(Mail, mail_pk)
    if row is not None:
        act.unchanged(row)
    if mail.state not in (State.REFUSED, State.UNSURE) or mail.settled_at:
        raise Refused(say("Somebody has seen to it already."))
    mail.settled_by, mail.settled_at = act.by, act.now
    mail.save(update_fields=["settled_by", "settled_at"])
    if how == "again" and row is not None:
        if reason := no_address(row.customer):
            raise Refused(reason)
        _ring(act, _write(act, row, mail.kind, way=Mail.Way.MAIL, asked=False))


@action("mail.again")
def go_over_mails(act: Act, *, mail_pks: list[int]) -> None:
    """What waits and is due, or was begun long ago: rung again."""
    for mail in Mail.objects.filter(pk__in=mail_pks):
        _ring(act, mail)


def _row_of(act: Act, mail_pk: int) -> Linked | None:
    mail = Mail.objects.filter(pk=mail_pk).first()
    if mail is None:
        raise Refused(say("This mail is not there any more."))
    if not mail.about:
        return None
    return lock_linked(act, mail.workorder_id, mail.booking_id, mail.estimate_id)


def _subject(row: Linked) -> dict[str, Linked]:
    return {FIELDS[type(row)]: row}


def _write(
    act: Act,
    row: Linked,
    kind: str,
    *,
    way: Mail.Way,
    key: str = "",
    asked: bool = True,
) -> Mail:
    if asked and kind not in kinds_of(row):
        raise Refused(say("There is nothing of this kind to write about now."))
    more = {"key": key} if key else {}
    return Mail.objects.create(
        kind=kind,
        way=way,
        about=about_of(row),
        due=act.now,
        not_after=act.now + FRESH,
        next_at=act.now,
        asked_by=act.by,
        asked_at=act.now,
        to=row.customer.phone if way == Mail.Way.TEXT else row.customer.email,
        **_subject(row),
        **more,
    )


def _not_wanted(mail: Mail, row: Linked | None, *, now: datetime) -> str:
    """Why it is left out after all; "" where it goes."""
    if row is None:
        return ""
    if now >= mail.not_after:
        return "It could not be sent in time."
    if not row.customer.email:
        return "The customer has no e-mail address."
    if mail.asked_by_id is not None:
        return ""
    if row.customer.mail_off:
        return "The customer wants no mails by themselves."
    if not getattr(mail_rule(), mail.kind):
        return "The shop switched these mails off."
    if isinstance(row, Booking) and row.state != Booking.State.BOOKED:
        return "The booking was cancelled, or the car is here."
    if isinstance(row, CustomerEstimate) and _is_answered(row):
        return "The estimate was answered or put away."
    return ""


def _is_answered(row: CustomerEstimate) -> bool:
    accepted = acceptance_of(newest_version(row)) is not None
    return bool(accepted or row.booking_id or row.ended_at)


def _open_link(act: Act, row: Linked, *, key: str) -> None:
    """Once for a key: a second try opens the same address."""
    if CustomerLink.objects.filter(token_hash=hash_of(token_of(key=key))).exists():
        return
    open_link(act, key=key, **_subject(row))  # type: ignore[arg-type]


EVENTS = {
    (Mail.Way.MAIL, State.SENT): "mail_sent",
    (Mail.Way.TEXT, State.SENT): "texted",
    (Mail.Way.MAIL, State.REFUSED): "mail_refused",
    (Mail.Way.MAIL, State.UNSURE): "mail_unsure",
    (Mail.Way.MAIL, State.DROPPED): "mail_dropped",
}


def _end(act: Act, mail: Mail, state: Mail.State, said: str = "") -> None:
    mail.state, mail.said, mail.ended_at = state, said[:300], act.now
    mail.save(update_fields=["state", "said", "ended_at"])
    if mail.row is not None:
        what = EVENTS[Mail.Way(mail.way), state]
        act.event(mail.row, what, mail=mail, kind=mail.kind, because=mail.said)


def _ring(act: Act, mail: Mail) -> None:
    background.ring(act, SEND, subject=str(mail), payload={"mail": mail.pk})
