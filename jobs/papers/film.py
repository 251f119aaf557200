"""Film on the work order's paper: what to take, from where, off-cuts first."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from jobs.models import FilmReservation, WorkOrder
from jobs.papers.cut_list import cut_list_facts, newest_pull


@dataclass(frozen=True, kw_only=True)
class FilmFacts:
    """The film and its cut list.

    state        "planned", "taken", or "" while nothing is planned
    reserved_mm  held for the booking, where nothing is planned yet
    cut_list     `jobs.papers.cut_list.cut_list_facts`
    """

    name: str
    code: str
    thickness_um: int | None
    finish: str
    is_directional: bool
    state: str
    taken_mm: int | None
    reserved_mm: int
    cut_list: dict[str, Any] | None


def film_facts(order: WorkOrder) -> FilmFacts:
    """The film of an order, and its newest cut list in this round."""
    film = order.film
    pull = newest_pull(order)
    held = FilmReservation.objects.filter(booking=order.booking_id).first()
    return FilmFacts(
        name=film.name,
        code=film.code,
        thickness_um=film.thickness_um,
        finish=film.get_finish_display(),
        is_directional=film.is_directional,
        state=pull.state if pull else "",
        taken_mm=pull.taken_mm if pull else None,
        reserved_mm=held.length_mm if held and not pull else 0,
        cut_list=cut_list_facts(pull) if pull else None,
    )
