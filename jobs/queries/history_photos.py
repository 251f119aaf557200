"""The pictures that were kept with each event of an order's history."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from jobs.models import Defect, Mark, WorkOrderEvent
from shopapp.models import StoredFile

WITH_A_PHOTO: dict[str, Any] = {"mark": Mark, "defect": Defect}
"""Events whose row keeps one photo, and the table of the row."""


def photos_of(events: Iterable[WorkOrderEvent]) -> dict[int, tuple[str, ...]]:
    """Hashes of the pictures by event; three queries, however many events."""
    known = list(events)
    rows = {
        what: dict(
            table.objects.filter(
                pk__in=[e.facts[what] for e in known if e.what == what]
            ).values_list("pk", "photo_id")
        )
        for what, table in WITH_A_PHOTO.items()
    }
    keys = {event.pk: _keys(event, rows) for event in known}
    wanted = {pk for several in keys.values() for pk in several}
    hashes = dict(StoredFile.objects.filter(pk__in=wanted).values_list("pk", "sha256"))
    return {
        event: tuple(hashes[pk] for pk in several if pk in hashes)
        for event, several in keys.items()
    }


def _keys(event: WorkOrderEvent, rows: dict[str, dict[int, int | None]]) -> list[int]:
    if event.what in rows:
        photo = rows[event.what].get(event.facts[event.what])
        return [photo] if photo else []
    if "photos" in event.facts:
        return list(event.facts["photos"])
    # An answer of before kept its one photo in the answer.
    answer = event.facts.get("answer")
    photo = answer.get("photo") if isinstance(answer, dict) else None
    return [photo] if photo else []
