"""How an estimate stands: sent, unanswered, accepted, run out (pure)."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from enum import StrEnum

ASK_AFTER = timedelta(days=3)
"""So long after it was sent an unanswered estimate is asked about; ours."""
MOST_CHOICES = 3
"""So many packages stand side by side."""
MOST_WORKS = 4
"""So many pieces of other work a package holds: as many as a booking."""


class Standing(StrEnum):
    """How an estimate stands, in a word."""

    MADE = "not sent yet"
    SENT = "sent, no answer yet"
    TO_ASK = "no answer for three days"
    RUN_OUT = "run out"
    ACCEPTED = "accepted"
    BOOKED = "booked"
    ENDED = "put away"

    @property
    def tone(self) -> str:
        """How its sign is coloured."""
        return TONES[self]


TONES = {
    Standing.MADE: "wait",
    Standing.SENT: "busy",
    Standing.TO_ASK: "warn",
    Standing.RUN_OUT: "warn",
    Standing.ACCEPTED: "ok",
    Standing.BOOKED: "ok",
    Standing.ENDED: "quiet",
}


def has_run_out(*, valid_until: date, today: date) -> bool:
    """Whether an estimate holds no more; on its last day it does.

    >>> has_run_out(valid_until=date(2031, 5, 6), today=date(2031, 5, 6))
    False
    """
    return today > valid_until


def is_to_ask(*, sent_at: datetime | None, now: datetime) -> bool:
    """Whether the customer has had it for three days, or longer."""
    return sent_at is not None and now - sent_at >= ASK_AFTER


def standing_of(
    *,
    is_ended: bool,
    is_booked: bool,
    is_accepted: bool,
    valid_until: date,
    sent_at: datetime | None,
    today: date,
    now: datetime,
) -> Standing:
    """How its newest version stands.

    is_accepted  the newest version was accepted
    sent_at      when the customer got the newest version
    today        the shop's day
    """
    if is_booked:
        return Standing.BOOKED
    if is_ended:
        return Standing.ENDED
    if is_accepted:
        return Standing.ACCEPTED
    if has_run_out(valid_until=valid_until, today=today):
        return Standing.RUN_OUT
    if sent_at is None:
        return Standing.MADE
    return Standing.TO_ASK if is_to_ask(sent_at=sent_at, now=now) else Standing.SENT
