"""The history of an order in words: what happened, who, when, from where."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from jobs.models import WorkOrder, WorkOrderEvent


@dataclass(frozen=True, kw_only=True)
class HistoryLine:
    """One line of the history."""

    at: datetime
    received_at: datetime
    what: str
    details: str
    by: str
    device: str
    via: str

    @property
    def came_late(self) -> bool:
        """Whether it reached the server well after it was done."""
        return (self.received_at - self.at).total_seconds() > 120


def history_of(workorder: WorkOrder) -> list[HistoryLine]:
    """Every change of the order, newest first."""
    events = WorkOrderEvent.objects.filter(workorder=workorder)
    newest = events.select_related("by", "device").order_by("-pk")
    return [_line(event) for event in newest]


def _line(event: WorkOrderEvent) -> HistoryLine:
    return HistoryLine(
        at=event.done_at,
        received_at=event.received_at,
        what=event.what.replace("_", " "),
        details=_details(event.facts),
        by=str(event.by) if event.by else event.get_via_display(),
        device=str(event.device or ""),
        via=event.get_via_display(),
    )


def _details(facts: dict[str, object]) -> str:
    parts = []
    for name, value in facts.items():
        if value in (None, "", [], {}):
            continue
        label = name.removesuffix("_pk").replace("_", " ")
        if isinstance(value, dict):
            value = "; ".join(f"{key}: {part}" for key, part in value.items())
        elif isinstance(value, list):
            value = ", ".join(str(part) for part in value)
        parts.append(f"{label} {str(value).replace('_', ' ')}")
    return " · ".join(parts)
