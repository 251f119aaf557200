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
        helper = helper_of(car, piece, floor=floor)
        needs.append(_people(car, work, is_helped=helper is not None, floor=floor))
        needs += [helper] if helper else []
    if work.spot and (spots := floor.of_kind(work.spot)):
        needs.append(need_of(spots))
    return tuple(needs)


def _people(car: Car, work: Work, *, is_helped: bool, floor: Floor) -> Need:
    """Those who are at it; those named for the film work; else all who can."""
    able = set(floor.able(work.skill or Skill.ANY))
    at_it = _at_it(work, floor)
    count = work.people
    if not is_helped or not at_it & able:
        able |= at_it
    if not is_helped:
        count = max(count, len(at_it))
    named = able & set(car.people) if work.part is Part.INSTALL else set()
    if len(named) >= count and not at_it:
        able = named
    return need_of(able, count=min(count, len(able)))


def helper_of(car: Car, piece: Piece, *, floor: Floor) -> Need | None:
    """A second person, where there is one beside the first."""
    if piece.help is None or piece.work.skill is None:
        return None
    able = set(floor.able(piece.help.skill or Skill.ANY)) | _at_it(piece.work, floor)
    first = _people(car, piece.work, is_helped=True, floor=floor)
    everybody = able | {one.resource for one in first.choices}
    if not able or len(everybody) <= first.count:
        return None
    return need_of(able)


def _at_it(work: Work, floor: Floor) -> set[str]:
    """Who is at a work that goes on."""
    return set(work.by) & set(floor.hands) if work.began else set()


def need_of(keys: Iterable[str], *, count: int = 1) -> Need:
    """So many of these."""
    return Need(
        choices=tuple(Choice(resource=key) for key in sorted(keys)), count=count
    )
