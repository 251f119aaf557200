"""Film taken as planned: rolls get shorter, off-cuts are used, new ones are kept."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from jobs.actions.film import What, move, shortage_of
from jobs.actions.offcuts import add_offcut, still_there, take_offcut
from jobs.actions.papers import ask_paper
from jobs.actions.pulls import lock_planned, still_planned
from jobs.models import FilmReservation, OffCut, Paper, Pull, Roll, WorkOrder
from jobs.nesting import NewOffcut
from jobs.nesting import Pull as PlanPull
from jobs.pull_plan import split_mm
from jobs.stock_rules import taken_odd
from jobs.stored_pull import pull_from_json
from shopapp.figures import given
from shopapp.frame import Act, Refused, action
from shopapp.say import say

State = Pull.State


@dataclass(frozen=True, kw_only=True)
class RollTaken:
    """What was really taken for one pull of the plan, from which roll."""

    planned_roll: str
    roll: str
    length_mm: int


@dataclass(frozen=True, kw_only=True)
class PieceKept:
    """One of the plan's off-cuts that goes on the shelf. `at` is its place in the
    plan's list."""

    at: int
    location: str = ""


@action("pull.confirm")
def confirm_pull(
    act: Act,
    *,
    workorder_pk: int,
    pull_pk: int,
    taken: Sequence[RollTaken],
    kept: Sequence[PieceKept] = (),
    measured_so: bool = False,
) -> None:
    """Film was taken: rolls get shorter, off-cuts are used, new ones are kept.

    measured_so  a length far from the planned one was looked at again
    """
    pulls = _lock_to_take(act, workorder_pk, pull_pk)
    first, workorder = pulls[0], pulls[0].workorder
    found = pull_from_json(first.plan)
    rolls = _lock_rolls(act, workorder, taken, used=found.plan.used_offcuts)
    offcuts = _lock_offcuts(act, workorder, found.plan.used_offcuts)
    _check_rolls(first, taken, rolls)
    if not measured_so:
        _ask_odd(found.plan.pulls, taken)
    by_pk = {roll.pk: roll for roll in rolls.values()}
    for offcut in offcuts.values():
        roll = by_pk[offcut.roll_id]
        take_offcut(act, roll=roll, offcut=offcut, workorder=workorder, pull=first)
    totals = _pull_off(act, pulls, taken, rolls)
    sources = {row.planned_roll: rolls[row.roll.lower()] for row in taken}
    sources |= {code: by_pk[offcut.roll_id] for code, offcut in offcuts.items()}
    new = _keep_all(act, first, kept, found.plan.new_offcuts, sources)
    for pull in pulls:
        _taken(act, pull, taken_mm=totals[pull.pk])
        act.event(
            pull.workorder,
            "film_pulled",
            pull=pull,
            rolls=list(rolls.values()),
            length_mm=pull.taken_mm,
            offcuts_used=list(offcuts.values()),
            offcuts_kept=new,
        )


def _lock_to_take(act: Act, workorder_pk: int, pull_pk: int) -> list[Pull]:
    """All rows of a plan with their orders locked, or why it cannot be taken."""
    workorders, pulls = lock_planned(act, pull_pk)
    orders = {workorder.pk: workorder for workorder in workorders}
    still_planned(orders.get(workorder_pk), pull_pk)
    for pull in pulls:
        pull.workorder = orders[pull.workorder_id]
        if pull.workorder.is_closed:
            raise Refused(say("{order} is closed.", order=pull.workorder.number))
    return pulls


def _pull_off(
    act: Act,
    pulls: Sequence[Pull],
    taken: Sequence[RollTaken],
    rolls: dict[str, Roll],
) -> dict[int, int]:
    """The real length of each roll, shared out over the orders of the plan."""
    totals = dict.fromkeys((pull.pk for pull in pulls), 0)
    for row in taken:
        parts = split_mm(row.length_mm, [pull.planned_mm for pull in pulls])
        for pull, part in zip(pulls, parts, strict=True):
            move(
                act,
                what=What.PULLED,
                roll=rolls[row.roll.lower()],
                change_mm=-part,
                workorder=pull.workorder,
                pull=pull,
            )
            totals[pull.pk] += part
    return totals


def _lock_rolls(
    act: Act, workorder: WorkOrder, taken: Sequence[RollTaken], *, used: Sequence[str]
) -> dict[str, Roll]:
    """The rolls by code in small letters: those taken from, those of the off-cuts."""
    wanted = {}
    for at, row in enumerate(taken):
        known = Roll.objects.filter(code__iexact=row.roll.strip()).first()
        if known is None:
            raise Refused(
                say("There is no roll {code}.", code=row.roll), field=f"roll_{at}"
            )
        if known.film_id != workorder.film_id:
            raise Refused(
                say(
                    "Roll {code} is {other}; this order is for {film}.",
                    code=known.code,
                    other=known.film.name,
                    film=workorder.film.name,
                ),
                field=f"roll_{at}",
            )
        wanted[row.roll.lower()] = known.pk
    behind = OffCut.objects.filter(code__in=used).values_list("roll_id", flat=True)
    locked = {r.pk: r for r in act.lock_all(Roll, {*wanted.values(), *behind})}
    named = {code: locked[pk] for code, pk in wanted.items()}
    rest = {pk: roll for pk, roll in locked.items() if pk not in wanted.values()}
    return named | {roll.code.lower(): roll for roll in rest.values()}


def _lock_offcuts(
    act: Act, workorder: WorkOrder, codes: Sequence[str]
) -> dict[str, OffCut]:
    pks = OffCut.objects.filter(code__in=codes, film=workorder.film_id)
    locked = act.lock_all(OffCut, pks.values_list("pk", flat=True))
    for offcut in locked:
        still_there(offcut)
    return {offcut.code: offcut for offcut in locked}


def _check_rolls(
    pull: Pull, taken: Sequence[RollTaken], rolls: dict[str, Roll]
) -> None:
    """Wide enough, and long enough for all that is taken off the same roll."""
    widths = {roll["id"]: roll["width_mm"] for roll in pull.plan["rolls"]}
    wanted: dict[int, int] = {}
    for at, row in enumerate(taken):
        roll = rolls[row.roll.lower()]
        planned = widths.get(row.planned_roll)
        if planned is None:
            raise Refused(say("This plan was replaced by a later one."))
        if roll.width_mm < planned:
            raise Refused(
                say(
                    "Roll {code} is {width} wide, the plan is for {planned}: plan "
                    "again.",
                    code=roll.code,
                    width=given(roll.width_mm, "mm", "roll"),
                    planned=given(planned, "mm", "plan"),
                ),
                field=f"roll_{at}",
            )
        wanted[roll.pk] = wanted.get(roll.pk, 0) + row.length_mm
        if short := shortage_of(roll, wanted[roll.pk]):
            raise Refused(short, field=f"length_{at}")


def _ask_odd(planned: Sequence[PlanPull], taken: Sequence[RollTaken]) -> None:
    lengths = {pull.roll_id: pull.length_mm for pull in planned}
    for row in taken:
        odd = taken_odd(
            roll=row.roll,
            taken=given(row.length_mm, "mm", "entered"),
            planned=given(lengths[row.planned_roll], "mm", "plan"),
        )
        if odd:
            raise Refused(odd, field="measured_so")


def _keep_all(
    act: Act,
    pull: Pull,
    kept: Sequence[PieceKept],
    planned: Sequence[NewOffcut],
    sources: dict[str, Roll],
) -> list[OffCut]:
    """The pieces that go on the shelf; their labels are asked for at once."""
    new = [
        add_offcut(
            act,
            roll=sources[planned[piece.at].source_id],
            width_mm=planned[piece.at].width_mm,
            length_mm=planned[piece.at].length_mm,
            location=piece.location,
            workorder=pull.workorder,
            pull=pull,
        )
        for piece in kept
    ]
    if new:
        ask_paper(
            act,
            kind=Paper.Kind.OFFCUT_LABEL,
            workorder=pull.workorder,
            subject=f"pull {pull.pk}",
        )
    return new


def _taken(act: Act, pull: Pull, *, taken_mm: int) -> None:
    pull.state = State.TAKEN
    pull.taken_mm = taken_mm
    pull.taken_at = act.now
    pull.taken_by = act.by
    pull.save(update_fields=["state", "taken_mm", "taken_at", "taken_by"])
    FilmReservation.objects.filter(
        booking__workorder=pull.workorder_id, released_at=None
    ).update(released_at=act.now)
