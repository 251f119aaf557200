"""What an event of the history says beside its sentence: who agreed, what was typed."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from django.utils.translation import gettext

from jobs.checks.queries import CHECKLIST_ITEM
from jobs.condition.agreement_queries import shown_marks
from jobs.condition.marks import mark_named
from jobs.findings.trace import defect_kinds
from jobs.models import (
    Agreement,
    ChecklistVersion,
    Recheck,
    WorkOrder,
    WorkOrderEvent,
)
from jobs.stages.table import stage_named
from shopapp.models import the_shop
from shopapp.telling import show

AGREED = frozenset(
    {"walk_round_agreed", "marks_approved", "handed_over"}
    | {"addition_agreed", "addition_declined"}
)
"""Events in which the customer agreed to something."""
Items = Mapping[int, Mapping[str, Mapping[str, Any]]]
"""Items of checklists as they are kept, by version and code."""


def items_of(events: Iterable[WorkOrderEvent]) -> Items:
    """The items that these events name; one query."""
    keys = {event.facts.get("checklist") for event in events} - {None}
    versions = ChecklistVersion.objects.filter(pk__in=keys)
    return {
        v.pk: {item["code"]: item for item in map(CHECKLIST_ITEM.upgrade, v.items)}
        for v in versions
    }


def item_named(event: WorkOrderEvent, items: Items) -> Mapping[str, Any]:
    """The item of an event as its checklist says it; empty where it is not known."""
    known = items.get(event.facts.get("checklist") or 0, {})
    return known.get(event.facts.get("item") or "", {})


def in_words(event: WorkOrderEvent, items: Items) -> dict[str, str]:
    """Facts whose code has words of its own: an item, a kind of mark, a way."""
    facts = event.facts
    if text := item_named(event, items).get("text"):
        return {"item": text[:1].lower() + text[1:]}
    if event.what == "stage":
        return {name: stage_named(facts[name]) for name in ("came_from", "went_to")}
    if event.what == "mark":
        return {"kind": mark_named(facts.get("kind") or "")}
    if event.what == "defect" and facts.get("kind") in defect_kinds():
        return {"kind": defect_kinds()[facts["kind"]].name}
    if event.what in AGREED and facts.get("how") in WorkOrder.Agreed.values:
        return {"how": str(WorkOrder.Agreed(facts["how"]).label)}
    if event.what == "recheck_found" and facts["outcome"] in Recheck.Outcome.values:
        return {"outcome": str(Recheck.Outcome(facts["outcome"]).label)}
    return {}


def recheck_notes(events: Iterable[WorkOrderEvent]) -> dict[int, str]:
    """What was written to a recheck, by event; no query without one."""
    found = {
        event.pk: event.facts["recheck"]
        for event in events
        if event.facts.get("recheck")
    }
    rows = Recheck.objects.in_bulk(found.values()) if found else {}
    return {pk: rows[row].note for pk, row in found.items() if row in rows}


def answer_of(event: WorkOrderEvent, items: Items) -> str:
    """The number or the words that were typed; nothing for a tick or a photo."""
    answer = event.facts.get("answer")
    if not isinstance(answer, dict):
        return ""
    if (number := answer.get("number")) is not None:
        unit = item_named(event, items).get("unit") or ""
        return str(show(number, unit=unit, system=the_shop().system))
    return str(answer.get("text") or "")


def film_gone(event: WorkOrderEvent) -> str:
    """What a roll that ended was thought to hold still."""
    gone_mm = event.facts.get("gone_mm")
    if not gone_mm:
        return ""
    length = show(gone_mm / 1000, unit="m", system=the_shop().system)
    return gettext("{length} that stood on the list was not there").format(
        length=length
    )


def who_agreed(
    events: Iterable[WorkOrderEvent], workorder: WorkOrder
) -> dict[int, str]:
    """Who said yes, and to which marks found later, by event."""
    asked = {
        event.pk: event.facts["agreement"]
        for event in events
        if event.facts.get("agreement")
    }
    if not asked:
        return {}
    rows = Agreement.objects.in_bulk(asked.values())
    marks = {each.mark.pk: each for each in shown_marks(workorder)}
    return {pk: _yes(rows[row], marks) for pk, row in asked.items() if row in rows}


def _yes(agreed: Agreement, marks: Mapping[int, Any]) -> str:
    if agreed.about != Agreement.About.MARKS:
        return agreed.name
    to = ", ".join(
        f"{marks[pk].panel}: {marks[pk].kind}"
        for pk in agreed.shown.get("marks", ())
        if pk in marks
    )
    return f"{agreed.name}: {to}" if agreed.name else to
