"""The confirmation of a booking is asked for as a paper."""

from __future__ import annotations

from jobs.estimates.queries import booking_subject
from jobs.models import Booking, Paper
from jobs.papers.actions import ask_paper
from jobs.papers.kind_facts import SHEETS
from shopapp.frame import Act, Json, Refused, action
from shopapp.say import say


@action("confirmation.print")
def print_confirmation(act: Act, *, booking_pk: int, size: str = "") -> Json:
    """Ask for the confirmation of a booking as it stands."""
    booking = act.lock(Booking, booking_pk)
    if booking.state == Booking.State.CANCELLED:
        raise Refused(say("This booking was cancelled. Take the cancelling back."))
    if size and size not in SHEETS:
        raise Refused(say("This paper is A4 or Letter."), field="size")
    kind, subject = Paper.Kind.CONFIRMATION, booking_subject(booking.pk)
    paper = ask_paper(act, kind=kind, workorder=None, subject=subject, size=size)
    act.event(booking, "confirmation_printed", paper=paper)
    return {"pk": paper.pk}
