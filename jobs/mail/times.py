"""When a mail goes by the clock, and until when it is of use (pure)."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

RESTS = timedelta(minutes=2)
"""A booking is written about once nobody has changed it for so long."""
FRESH = timedelta(days=1)
"""News of a day ago is none: what could not go until then is left to a call."""
PAUSES = tuple(timedelta(minutes=each) for each in (1, 5, 15, 60, 180))
"""Between one try and the next where the mail server does not answer."""


def day_before(moment: datetime, *, at: time, zone: ZoneInfo) -> datetime:
    """The day before a moment, by the shop's calendar, at a time of the day."""
    local = moment.astimezone(zone).date()
    return on_day(local - timedelta(days=1), at=at, zone=zone)


def on_day(day: date, *, at: time, zone: ZoneInfo) -> datetime:
    """A time of a day of the shop."""
    return datetime.combine(day, at, tzinfo=zone)


def next_try(*, tries: int, now: datetime, not_after: datetime) -> datetime | None:
    """When to try again after so many tries; None where it would be too late.

    tries  how often it was tried, 1 or more
    """
    pause = PAUSES[min(tries, len(PAUSES)) - 1]
    return now + pause if now + pause < not_after else None
