"""The pictures that were kept with each event of an order's history."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from jobs.models import Agreement, Defect, Mark, WorkOrderEvent
from shopapp.models import StoredFile

WITH_A_PHOTO: dict[str, tuple[str, Any, str]] = {
    "mark": ("mark", Mark, "photo_id"),
    "defect": ("defect", Defect, "photo_id"),
    "walk_round_agreed": ("agreement", Agreement, "signature_id"),
}
"""Events whose row keeps one picture: the fact, its table, the column."""


def photos_of(events: Iterable[WorkOrderEvent]) -> dict[int, tuple[str, ...]]:
    """Hashes of the pictures by event; three queries, however many events."""
    known = list(events)
    rows = {
        what: dict(
            table.objects.filter(
                pk__in=[
                    e.facts[name] for e in known if e.what == what and name in e.facts
                ]
            ).values_list("pk", column)
        )
        for what, (name, table, column) in WITH_A_PHOTO.items()
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
        photo = rows[event.what].get(event.facts.get(WITH_A_PHOTO[event.what][0]))
        return [photo] if photo else []
    # A customer's message only counts its photos.
    if isinstance(photos := event.facts.get("photos"), list):
        return list(photos)
    # An answer of before kept its one photo in the answer.
    answer = event.facts.get("answer")
    photo = answer.get("photo") if isinstance(answer, dict) else None
    return [photo] if photo else []
