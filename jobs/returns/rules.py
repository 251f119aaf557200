"""What a return visit is to the shop: what counts, what is done, until when (pure)."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime, timedelta
from enum import StrEnum

from jobs.opening.hours import Opening
from shopapp.say import Say, say


class Done(StrEnum):
    """What can be done about what a car came back for; stored as a defect's state."""

    TOUCHED_UP = "touched_up"
    REDO = "redo"
    NOTHING = "nothing"
    WATCH = "watch"
    ACCEPTED = "accepted"


DONE: Mapping[Done, Say] = {
    Done.TOUCHED_UP: say("put right without new film"),
    Done.REDO: say("new film"),
    Done.NOTHING: say("nothing found"),
    Done.WATCH: say("watched on"),
    Done.ACCEPTED: say("left as it is"),
}
"""Each in the shop's words."""
OUTCOMES: Mapping[str, Say] = {
    "open": say("not looked at yet"),
    "touched_up": say("put right"),
    "redo": say("new film to be laid"),
    "redone": say("new film laid"),
    "nothing": say("nothing found"),
    "watch": say("watched on"),
    "accepted": say("left as it is"),
    "gone": say("gone at the recheck"),
}
"""What came of it, by the state of the defect."""
WITH_FILM = frozenset({"redo", "redone"})
SHORTEST = timedelta(hours=2)
"""So long before closing a car that comes back is still promised for the same day."""


WHILE_LAYING = frozenset({"grab", "slide"})
"""Kinds of defects that show while film is laid. Common practice, no published
source."""


def is_of_laying(kind: str) -> bool:
    """Whether it hardly is what a car comes back for: it stands last in the list.

    >>> is_of_laying("lifted_edge")
    False
    """
    return kind in WHILE_LAYING


def is_undecided(state: str) -> bool:
    """Whether nobody has said yet what is done about it."""
    return state == "open"


def counts(*, state: str, paid_by: str) -> bool:
    """Whether it counts as a comeback of the shop's work, or of its film.

    It does until it is known better: not where nothing was found, and not where the
    customer pays, which is damage from outside. A rule of ours.

    >>> counts(state="touched_up", paid_by=""), counts(state="nothing", paid_by="shop")
    (True, False)
    """
    return state != Done.NOTHING and paid_by != "customer"


def counts_for_hands(*, state: str, paid_by: str) -> bool:
    """Whether it counts for the person who laid the film too.

    Not where the film's maker pays: then it is the film. A rule of ours.

    >>> counts_for_hands(state="redone", paid_by="maker")
    False
    """
    return counts(state=state, paid_by=paid_by) and paid_by != "maker"


def usual_promise(arrives_at: datetime, *, opening: Opening) -> datetime:
    """When a car that comes back is promised for, where nobody says otherwise.

    Closing of the day it comes, or of the next open day where less than two hours
    are left. A rule of ours.

    arrives_at  in the shop's zone
    """
    day = arrives_at.date()
    for _ in range(2):
        day = opening.first_open_day(day)
        hours = opening.hours_on(day)
        closes = hours.closes_at if hours else opening.closes_at
        found = datetime.combine(day, closes, tzinfo=arrives_at.tzinfo)
        if found - arrives_at >= SHORTEST:
            return found
        day += timedelta(days=1)
    return arrives_at + timedelta(days=1)
