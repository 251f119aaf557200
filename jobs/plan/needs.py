"""Who and what a piece of work takes (pure)."""

from __future__ import annotations

from collections.abc import Iterable

from jobs.plan.pieces import Floor, Piece
from jobs.plan.shop import Car, Part, Skill, Work
from jobs.scheduling.problem import Choice, Need


def needs_of(car: Car, piece: Piece, *, floor: Floor) -> tuple[Need, ...]:
    """Who does a piece, who helps, and the place that it takes for itself."""
    work, needs = piece.work, []
    if work.skill is not None and work.people:
        needs.append(_people(car, work, skill=work.skill, floor=floor))
    if helper := helper_of(car, piece, floor=floor):
        needs.append(helper)
    if work.spot and (spots := floor.of_kind(work.spot)):
        needs.append(need_of(spots))
    return tuple(needs)


def _people(car: Car, work: Work, *, skill: Skill, floor: Floor) -> Need:
    """Those named for the film work where they can do it; else all who can."""
    able = set(floor.able(skill))
    if work.began:
        able |= {key for key in work.by if key in floor.closed}
    named = able & set(car.people) if work.part is Part.INSTALL else set()
    count = min(max(work.people, len(able & set(work.by))), len(able))
    if len(named) >= count and not (work.began and set(work.by) & able):
        able = named
    return need_of(able, count=count)


def helper_of(car: Car, piece: Piece, *, floor: Floor) -> Need | None:
    """A second person, where there is one beside the first."""
    if piece.help is None or piece.work.skill is None:
        return None
    able = set(floor.able(piece.help.skill or Skill.ANY))
    first = _people(car, piece.work, skill=piece.work.skill, floor=floor)
    everybody = able | {one.resource for one in first.choices}
    if not able or len(everybody) <= first.count:
        return None
    return need_of(able)


def need_of(keys: Iterable[str], *, count: int = 1) -> Need:
    """So many of these."""
    return Need(
        choices=tuple(Choice(resource=key) for key in sorted(keys)), count=count
    )
