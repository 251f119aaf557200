"""The recheck after hand-over: how long it is waited for (pure)."""

from __future__ import annotations

from datetime import datetime, timedelta
from enum import StrEnum

WINDOW = timedelta(days=7)
"""The window from the booked time on: the second week after hand-over.

Common practice, no published source.
"""
WAITS = timedelta(days=14)
"""So long after its window a recheck is waited for; ours."""


class RecheckState(StrEnum):
    """Where a recheck stands when nobody has written what it found."""

    COMING = "coming"
    DUE = "due"
    DID_NOT_COME = "did_not_come"


def recheck_state(*, recheck_at: datetime, now: datetime) -> RecheckState:
    """Where a recheck without an outcome stands.

        it closes itself at recheck_at + 7 days (its window) + 14 days

    recheck_at, now  aware times
    Source: the window is common practice, the waiting is ours.
    """
    if now < recheck_at:
        return RecheckState.COMING
    closes_at = recheck_at + WINDOW + WAITS
    return RecheckState.DUE if now < closes_at else RecheckState.DID_NOT_COME
