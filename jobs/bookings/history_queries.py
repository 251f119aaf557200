"""The history of a booking in words."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any

from django.utils import formats

from jobs.models import Booking, BookingEvent
from jobs.workorders.history_queries import AMOUNTS, HistoryLine, money_words
from jobs.workorders.history_words import sentence_of
from shopapp.telling import when

KEYS = frozenset({"film", "bay", "people"})
"""Facts that are keys of rows: that they changed is told, not the keys."""

LABELS = {"film_day": "film work on", "film_half": "film work in the"}


def history_of_booking(booking: Booking) -> list[HistoryLine]:
    """Every change of the booking, newest first."""
    events = booking.events.select_related("by", "device").order_by("-pk")
    return [_line(event) for event in events]


def _line(event: BookingEvent) -> HistoryLine:
    facts = {
        name: value.replace("_", " ")
        for name, value in event.facts.items()
        if isinstance(value, str)
    }
    facts |= {name: money_words(facts[name]) for name in AMOUNTS & facts.keys()}
    changed = event.facts.get("changed") or {}
    facts["changed"] = "; ".join(
        _told(name, before, after) for name, (before, after) in changed.items()
    )
    return HistoryLine(
        at=event.done_at,
        received_at=event.received_at,
        what=sentence_of(event.what, facts) or event.what.replace("_", " "),
        details="",
        by=str(event.by) if event.by else event.get_via_display(),
        device=str(event.device or ""),
    )


def _told(name: str, before: Any, after: Any) -> str:
    label = LABELS.get(name) or name.removesuffix("_at").replace("_", " ")
    if name in KEYS:
        return label
    was, now = (_shown(name, value) for value in (before, after))
    return f"{label} {was} → {now}"


def _shown(name: str, value: Any) -> str:
    if name.endswith("_at") and value:
        return when(datetime.fromisoformat(value))
    if name.endswith("_day") and value:
        return formats.date_format(date.fromisoformat(value), "D j M")
    return str(value or "–").replace("_", " ")
