"""Film on the work order's paper: what was taken in every round, what to take next."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from jobs.models import FilmReservation, WorkOrder
from jobs.papers.cut_list_facts import cut_list_facts, metres_told, source_facts
from jobs.papers.facts import Json, said
from jobs.pulls.queries import open_pull, panels_to_cut
from jobs.pulls.stored import pull_from_json
from jobs.pulls.taken_queries import FilmTaken, film_taken, lots_said, wound_back


@dataclass(frozen=True, kw_only=True)
class FilmFacts:
    """The film of an order.

    taken        every pull whose film was taken, the oldest first, with its cut list
    wound_back   roll and length of film that came back
    waiting      `cut_list_facts` of the plan that waits, or None
    unplanned    panels that wait for film without a plan
    reserved_mm  held for the booking, while none of it is taken
    lots         what is to be said where film of two lots is on one car
    """

    name: str
    code: str
    thickness_um: int | None
    finish: str
    is_directional: bool
    taken: tuple[Json, ...]
    wound_back: tuple[tuple[str, str], ...]
    waiting: dict[str, Any] | None
    unplanned: int
    reserved_mm: int
    lots: str


def film_facts(order: WorkOrder) -> FilmFacts:
    """The film of an order: all rounds, and the plan that waits."""
    film, pull = order.film, open_pull(order)
    held = FilmReservation.objects.filter(
        booking=order.booking_id, released_at=None
    ).first()
    plan = pull_from_json(pull.plan).plan if pull else None
    lots = lots_said(order, plan)
    return FilmFacts(
        name=film.name,
        code=film.code,
        thickness_um=film.thickness_um,
        finish=film.get_finish_display(),
        is_directional=film.is_directional,
        taken=tuple(_taken(each) for each in reversed(film_taken(order))),
        wound_back=tuple((code, metres_told(mm)) for code, mm in wound_back(order)),
        waiting=cut_list_facts(pull) if pull else None,
        unplanned=0 if pull else len(panels_to_cut(order)),
        reserved_mm=held.length_mm if held else 0,
        lots=said(lots) if lots else "",
    )


def _taken(took: FilmTaken) -> Json:
    row = took.row
    return {
        "round": row.round,
        "taken_at": row.taken_at.isoformat() if row.taken_at else "",
        "by": str(row.taken_by or ""),
        "sources": [source_facts(source) for source in took.sources],
        "panels": list(took.panels),
        "cut_list": cut_list_facts(row, took=took) if took.shown else None,
    }
