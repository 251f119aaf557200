"""Film on the work order's paper: what to take, from where, off-cuts first."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from jobs.models import FilmReservation, OffCut, Pull, Roll, WorkOrder


@dataclass(frozen=True, kw_only=True)
class SourceFacts:
    """A roll or off-cut to cut from."""

    code: str
    is_offcut: bool
    lot: str
    location: str
    width_mm: int
    length_mm: int


@dataclass(frozen=True, kw_only=True)
class FilmFacts:
    """The film and its cut list.

    state        "planned", "taken", or "" while nothing is planned
    reserved_mm  held for the booking, where nothing is planned yet
    plan         as `jobs.stored_pull` keeps it
    """

    name: str
    code: str
    thickness_um: int | None
    finish: str
    is_directional: bool
    state: str
    sources: tuple[SourceFacts, ...]
    total_mm: int
    bound_mm: int
    reserved_mm: int
    plan: dict[str, Any] | None


def film_facts(order: WorkOrder) -> FilmFacts:
    """The film of an order, and its newest cut list in this round."""
    film = order.film
    pull = (
        order.pulls.exclude(state=Pull.State.REPLACED).filter(round=order.round).first()
    )
    held = FilmReservation.objects.filter(booking=order.booking_id).first()
    return FilmFacts(
        name=film.name,
        code=film.code,
        thickness_um=film.thickness_um,
        finish=film.get_finish_display(),
        is_directional=film.is_directional,
        state=pull.state if pull else "",
        sources=_sources(pull) if pull else (),
        total_mm=(pull.taken_mm or pull.planned_mm) if pull else 0,
        bound_mm=pull.bound_mm if pull else 0,
        reserved_mm=held.length_mm if held and not pull else 0,
        plan=pull.plan if pull else None,
    )


def _sources(pull: Pull) -> tuple[SourceFacts, ...]:
    """Off-cuts first: they are used up before a roll is touched."""
    plan = pull.plan["plan"]
    offcuts = OffCut.objects.select_related("roll").in_bulk(
        plan["used_offcuts"], field_name="code"
    )
    lengths = {code: length for code, length in plan["pulls"]}
    rolls = Roll.objects.in_bulk(list(lengths), field_name="code")
    return (
        *(
            SourceFacts(
                code=code,
                is_offcut=True,
                lot=offcut.roll.lot,
                location=offcut.location,
                width_mm=offcut.width_mm,
                length_mm=offcut.length_mm,
            )
            for code, offcut in offcuts.items()
        ),
        *(
            SourceFacts(
                code=code,
                is_offcut=False,
                lot=roll.lot,
                location=roll.location,
                width_mm=roll.width_mm,
                length_mm=lengths[code],
            )
            for code, roll in rolls.items()
        ),
    )
