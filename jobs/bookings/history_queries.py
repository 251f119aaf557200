"""The history of a booking or an estimate in words."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, datetime
from typing import Any

from django.utils import formats

from jobs.models import Booking, BookingEvent, CustomerEstimate, EstimateEvent
from jobs.workorders.history_queries import (
    AMOUNTS,
    MOMENTS,
    HistoryLine,
    money_words,
)
from jobs.workorders.history_words import sentence_of
from shopapp.models import Bay, Person
from shopapp.telling import when

KEYS = frozenset({"film", "bay", "people"})
"""Facts that are keys of rows: that they changed is told, not the keys."""

LABELS = {"film_day": "film work on", "film_half": "film work in the"}


Event = BookingEvent | EstimateEvent


def history_of_booking(row: Booking | CustomerEstimate) -> list[HistoryLine]:
    """Every change of the booking or estimate, newest first."""
    events: list[Event] = list(
        row.events.select_related("by", "device").order_by("-pk")
    )
    bays, people = _bays(events), _people(events)
    return [_line(event, bays=bays, people=people) for event in events]


def _bays(events: Iterable[Event]) -> dict[Any, str]:
    pks = {event.facts["bay"] for event in events if event.facts.get("bay")}
    return dict(Bay.objects.filter(pk__in=pks).values_list("pk", "name"))


def _people(events: Iterable[Event]) -> dict[int, str]:
    pks = {pk for event in events for pk in event.facts.get("people") or ()}
    return dict(Person.objects.filter(pk__in=pks).values_list("pk", "first_name"))


def _line(event: Event, *, bays: dict[Any, str], people: dict[int, str]) -> HistoryLine:
    facts = {
        name: value.replace("_", " ")
        for name, value in event.facts.items()
        if isinstance(value, str)
    }
    facts |= {
        name: _shown(name, facts[name])
        for name in facts
        if name in MOMENTS or name.endswith("_day")
    }
    facts |= {name: money_words(facts[name]) for name in AMOUNTS & facts.keys()}
    facts["bay"] = bays.get(event.facts.get("bay"), "")
    with_us = event.facts.get("people") or ()
    facts["people"] = ", ".join(people.get(pk, "") for pk in with_us)
    changed = event.facts.get("changed") or {}
    facts["changed"] = "; ".join(
        _told(name, before, after) for name, (before, after) in changed.items()
    )
    what = sentence_of(event.what, {"film_day": "", **facts})
    return HistoryLine(
        at=event.done_at,
        received_at=event.received_at,
        what=what or event.what.replace("_", " "),
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
    if (name in MOMENTS or name.endswith("_at")) and value:
        return when(datetime.fromisoformat(value))
    if name.endswith("_day") and value:
        return formats.date_format(date.fromisoformat(value), "D j M")
    return str(value or "–").replace("_", " ")
