"""Entries of a calendar as iCalendar bytes (pure).

Source: RFC 5545 by the library icalendar: folding, escaping, UTC times. NAME and
REFRESH-INTERVAL are RFC 7986; the X- lines say the same to older readers.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

from icalendar import Calendar, Event, vText

READ_AGAIN = timedelta(minutes=30)
READ_AGAIN_TEXT = "PT30M"
"""The library writes a length of time only where it knows the line."""


@dataclass(frozen=True, kw_only=True)
class Entry:
    """One entry; `uid` stays the same when the time moves.

    starts_at, ends_at  aware
    sequence            how often it has moved
    """

    uid: str
    starts_at: datetime
    ends_at: datetime
    title: str
    where: str = ""
    sequence: int = 0


def calendar_bytes(
    entries: Iterable[Entry], *, made_at: datetime, by: str, name: str = ""
) -> bytes:
    """A calendar, lines folded and ended as RFC 5545 asks.

    made_at  aware
    by       who made it (PRODID)
    name     of a calendar that is read again and again; "" for one to be kept
    """
    calendar = Calendar()
    calendar.add("prodid", by)
    calendar.add("version", "2.0")
    if name:
        _as_feed(calendar, name)
    for entry in entries:
        calendar.add_component(_event(entry, made_at=made_at, is_feed=bool(name)))
    made: bytes = calendar.to_ical()
    return made


def _as_feed(calendar: Calendar, name: str) -> None:
    calendar.add("method", "PUBLISH")
    # The library takes neither for text, and so would not escape them.
    for title in ("name", "x-wr-calname"):
        calendar.add(title, vText(_plain(name)))
    calendar.add("refresh-interval", READ_AGAIN, parameters={"value": "DURATION"})
    calendar.add("x-published-ttl", READ_AGAIN_TEXT)


def _event(entry: Entry, *, made_at: datetime, is_feed: bool) -> Event:
    event = Event()
    event.add("uid", _plain(entry.uid))
    event.add("dtstamp", _utc(made_at))
    event.add("dtstart", _utc(entry.starts_at))
    event.add("dtend", _utc(entry.ends_at))
    event.add("summary", _plain(entry.title))
    if entry.where:
        event.add("location", _plain(entry.where))
    if is_feed:
        event.add("sequence", entry.sequence)
        event.add("last-modified", _utc(made_at))
        event.add("status", "CONFIRMED")
        event.add("transp", "OPAQUE")
    return event


def _plain(text: str) -> str:
    """Any end of a line as the one that the standard escapes."""
    return "\n".join(text.splitlines())


def _utc(moment: datetime) -> datetime:
    if moment.tzinfo is None:
        raise ValueError("a time without its zone does not go into a calendar")
    return moment.astimezone(UTC)
