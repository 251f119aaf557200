"""The history of an order in words: what happened, who, when, from where."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal, InvalidOperation
from typing import Any

from jobs.coverage.catalogue import Body, panel_name, panels
from jobs.models import OffCut, OrderPanel, Roll, WorkOrder, WorkOrderEvent
from jobs.workorders.history_detail_queries import (
    Items,
    answer_of,
    film_gone,
    in_words,
    items_of,
    recheck_notes,
    who_agreed,
)
from jobs.workorders.history_photo_queries import photos_of
from jobs.workorders.history_words import sentence_of
from mixing.models import Batch, Chemical
from shopapp.models import Bay, Person, Place, the_shop
from shopapp.telling import show, when

TABLES: Mapping[str, tuple[type, str]] = {
    "bay": (Bay, "name"),
    "place": (Place, "name"),
    "people": (Person, "first_name"),
    "batch": (Batch, "number"),
    "batches": (Batch, "number"),
    "chemical": (Chemical, "name"),
    "rolls": (Roll, "code"),
    "offcut": (OffCut, "code"),
}
"""Facts that are keys of rows, and the word that stands for a row."""
MOMENTS = frozenset({"now_for", "was_for"})
"""Facts that are moments, told in the shop's zone."""
AMOUNTS = frozenset({"amount"})
"""Facts that are money."""
LENGTHS = frozenset({"length_mm", "planned_mm"})
"""Facts that are lengths of film, told as the shop measures it."""

ROWS = frozenset(
    {
        "mark",
        "marks",
        "defect",
        "defects",
        "link",
        "payment",
        "work",
        "reading",
        "discount",
        "invoice",
    }
    | {"pull", "sheet", "answer", "checklist", "booking", "paper", "overridden"}
    | {"photos", "count", "agreement", "recheck", "addition", "visit", "mail"}
)
"""Facts that are keys of rows without a word of their own: no person reads them."""


@dataclass(frozen=True, kw_only=True)
class HistoryLine:
    """One line of the history.

    details  facts of an event that no sentence tells, or the reasons given
    photos   hashes of the pictures that were kept with it
    """

    at: datetime
    received_at: datetime
    what: str
    details: str
    by: str
    device: str
    photos: tuple[str, ...] = ()

    @property
    def came_late(self) -> bool:
        """Whether it reached the server well after it was done."""
        return (self.received_at - self.at).total_seconds() > 120


def history_of(workorder: WorkOrder) -> list[HistoryLine]:
    """Every change of the order, newest first; a few queries, however long it is."""
    events = list(
        WorkOrderEvent.objects.filter(workorder=workorder)
        .select_related("by", "device")
        .order_by("-pk")
    )
    name_of, photos = _names(events, workorder), photos_of(events)
    items, beside = items_of(events), who_agreed(events, workorder)
    beside |= recheck_notes(events)
    return [
        _line(
            event,
            name_of,
            photos.get(event.pk, ()),
            items=items,
            beside=beside.get(event.pk, "")
            or answer_of(event, items)
            or film_gone(event),
        )
        for event in events
    ]


_NameOf = Callable[[str, Any], str]


def _names(events: Iterable[WorkOrderEvent], workorder: WorkOrder) -> _NameOf:
    """What stands for a fact: the name of a row in place of its key."""
    wanted: dict[type, set[int]] = {}
    for event in events:
        for name, value in event.facts.items():
            if name in TABLES and value:
                keys = value if isinstance(value, list) else [value]
                wanted.setdefault(TABLES[name][0], set()).update(keys)
    words = {
        (table, row.pk): row
        for table, keys in wanted.items()
        for row in table.objects.filter(pk__in=keys)  # type: ignore[attr-defined]
    }
    body, system = Body(workorder.vehicle.body), the_shop().system
    codes = dict(
        OrderPanel.objects.filter(workorder=workorder).values_list("pk", "panel")
    )

    def name_of(name: str, value: Any) -> str:
        if isinstance(value, list):
            return ", ".join(name_of(name, part) for part in value)
        if name in TABLES and value:
            table, word = TABLES[name]
            row = words.get((table, value))
            return str(getattr(row, word)) if row else str(value)
        if name in MOMENTS and value:
            return when(datetime.fromisoformat(value))
        if name in AMOUNTS and value:
            return money_words(value)
        if name in LENGTHS and value is not None:
            return str(show(value / 1000, unit="m", system=system))
        code = codes.get(value, value) if name in ("panel", "panels") else value
        if name in ("panel", "panels", "code") and code in panels():
            return panel_name(code, body=body)
        return "" if value is None else str(code).replace("_", " ")

    return name_of


def money_words(amount: Any) -> str:
    """Kept money as the pages write it: "1,490.00"."""
    try:
        return f"{Decimal(str(amount)):,.2f}"
    except InvalidOperation:
        return str(amount)


def _line(
    event: WorkOrderEvent,
    name_of: _NameOf,
    photos: tuple[str, ...],
    *,
    items: Items,
    beside: str,
) -> HistoryLine:
    facts = {
        name: name_of(name, value)
        for name, value in event.facts.items()
        if not isinstance(value, dict)
    }
    facts |= in_words(event, items)
    told = sentence_of(event.what, facts)
    reasons = event.facts.get("overridden") or {}
    said = [beside, *reasons.values()]
    return HistoryLine(
        at=event.done_at,
        received_at=event.received_at,
        what=told or event.what.replace("_", " "),
        details="; ".join(filter(None, said)) if told else _listed(facts),
        by=str(event.by) if event.by else event.get_via_display(),
        device=str(event.device or ""),
        photos=photos,
    )


def _listed(facts: Mapping[str, str]) -> str:
    return " · ".join(
        f"{name.replace('_', ' ')} {word}"
        for name, word in facts.items()
        if word and name not in ROWS
    )
