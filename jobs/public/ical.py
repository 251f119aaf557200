"""Dates for the customer's own calendar, as iCalendar text (pure).

Source: RFC 5545 (iCalendar): 3.1 content lines and folding, 3.3.5 form 2 (UTC times),
3.3.11 escaping of text, 3.6.1 events; RFC 7986 is not used.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

LONGEST_LINE_OCTETS = 75


@dataclass(frozen=True, kw_only=True)
class Appointment:
    """One entry of a calendar; `uid` stays the same when the time moves.

    starts_at  aware
    """

    uid: str
    starts_at: datetime
    minutes: int
    title: str
    where: str = ""
    about: str = ""


def calendar_text(appointment: Appointment, *, made_at: datetime, by: str) -> str:
    """A calendar with one entry, lines folded and ended as RFC 5545 asks.

    made_at  aware
    by       who made it (PRODID)
    """
    ends_at = appointment.starts_at + timedelta(minutes=appointment.minutes)
    lines = [
        "BEGIN:VCALENDAR",
        "VERSION:2.0",
        f"PRODID:{escaped(by)}",
        "BEGIN:VEVENT",
        f"UID:{escaped(appointment.uid)}",
        f"DTSTAMP:{_utc(made_at)}",
        f"DTSTART:{_utc(appointment.starts_at)}",
        f"DTEND:{_utc(ends_at)}",
        f"SUMMARY:{escaped(appointment.title)}",
    ]
    if appointment.where:
        lines.append(f"LOCATION:{escaped(appointment.where)}")
    if appointment.about:
        lines.append(f"DESCRIPTION:{escaped(appointment.about)}")
    lines += ["END:VEVENT", "END:VCALENDAR"]
    return "".join(f"{folded(line)}\r\n" for line in lines)


def escaped(text: str) -> str:
    r"""Text of a property: backslash, semicolon, comma and line ends escaped.

    >>> print(escaped("Bay 1; left, then\nring"))
    Bay 1\; left\, then\nring
    """
    for sign, instead in (("\\", "\\\\"), (";", "\\;"), (",", "\\,")):
        text = text.replace(sign, instead)
    return "\\n".join(text.splitlines())


def folded(line: str) -> str:
    """A content line in pieces of at most 75 octets, never through a character."""
    pieces, piece, octets = [], "", 0
    for sign in line:
        size = len(sign.encode())
        if octets + size > LONGEST_LINE_OCTETS:
            pieces.append(piece)
            # The blank that begins the next piece counts too.
            piece, octets = "", 1
        piece, octets = piece + sign, octets + size
    return "\r\n ".join([*pieces, piece])


def _utc(moment: datetime) -> str:
    if moment.tzinfo is None:
        raise ValueError("a time without its zone does not go into a calendar")
    return moment.astimezone(UTC).strftime("%Y%m%dT%H%M%SZ")
