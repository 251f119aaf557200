"""Film taken as planned: rolls get shorter, off-cuts are used, new ones are kept."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from jobs.film.actions import What, move, shortage_of
from jobs.film.offcut_actions import add_offcut, still_there, take_offcut
from jobs.models import FilmReservation, OffCut, Paper, Pull, Roll, WorkOrder
from jobs.papers.actions import ask_paper
from jobs.pulls.actions import lock_planned, still_planned, store_plan
from jobs.pulls.change_queries import changed_since
from jobs.pulls.plan import PanelToCut, PlannedPull, split_mm
from jobs.pulls.roll_end import panels_beyond, panels_missing, pieces_there
from jobs.pulls.stored import FrozenPull, pull_from_json
from jobs.rules.stock import taken_odd, taken_short
from shopapp.figures import given
from shopapp.frame import Act, Refused, action
from shopapp.say import say

State = Pull.State
ENDED = "the roll ended"


@dataclass(frozen=True, kw_only=True)
class RollTaken:
    """What was really taken for one pull of the plan, from which roll.

    ended  there was no more on the roll
    """

    planned_roll: str
    roll: str
    length_mm: int
    ended: bool = False


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
    rest: FrozenPull | None = None,
) -> None:
    """Film was taken: rolls get shorter, off-cuts are used, new ones are kept.

    measured_so  a length far from the planned one was looked at again
    rest         the plan for the panels that an ended roll did not reach
    """
    pulls = _lock_to_take(act, workorder_pk, pull_pk)
    first, workorder = pulls[0], pulls[0].workorder
    found = pull_from_json(first.plan)
    _still_fits(pulls, found)
    rolls = _lock_rolls(act, workorder, taken, used=found.plan.used_offcuts)
    offcuts = _lock_offcuts(act, workorder, found.plan.used_offcuts)
    _check_rolls(first, taken, rolls)
    if not measured_so:
        _ask_odd(found, taken)
    by_pk = {roll.pk: roll for roll in rolls.values()}
    for offcut in offcuts.values():
        roll = by_pk[offcut.roll_id]
        take_offcut(act, roll=roll, offcut=offcut, workorder=workorder, pull=first)
    totals = _pull_off(act, pulls, taken, rolls)
    sources = {row.planned_roll: rolls[row.roll.lower()] for row in taken}
    sources |= {code: by_pk[offcut.roll_id] for code, offcut in offcuts.items()}
    ended = {row.planned_roll: row.length_mm for row in taken if row.ended}
    new = _keep_all(act, first, _there(found, kept, ended), found, sources)
    missing = panels_missing(found, ended=ended)
    for pull in pulls:
        _taken(act, pull, taken_mm=totals[pull.pk], missing=missing)
        _told(act, pull, rolls=rolls, used=list(offcuts.values()), kept=new)
    for roll_id in ended:
        roll_ended(act, sources[roll_id], pull=first)
    _plan_the_rest(act, pulls, missing, rest)


def _told(
    act: Act,
    pull: Pull,
    *,
    rolls: Mapping[str, Roll],
    used: list[OffCut],
    kept: list[OffCut],
) -> None:
    act.event(
        pull.workorder,
        "film_pulled",
        pull=pull,
        rolls=list(rolls.values()),
        length_mm=pull.taken_mm,
        offcuts_used=used,
        offcuts_kept=kept,
    )


def roll_ended(act: Act, roll: Roll, *, pull: Pull) -> None:
    """Nothing is left of a locked roll, whatever it was thought to hold."""
    gone_mm = roll.left_mm
    if gone_mm:
        move(
            act,
            what=What.COUNTED,
            roll=roll,
            change_mm=-gone_mm,
            workorder=pull.workorder,
            pull=pull,
            reason=ENDED,
        )
    act.event(pull.workorder, "roll_ended", rolls=[roll], gone_mm=gone_mm)


def _plan_the_rest(
    act: Act,
    pulls: Sequence[Pull],
    missing: Sequence[PanelToCut],
    rest: FrozenPull | None,
) -> None:
    """Keep the plan for what is missing, where some film is left for it."""
    orders = {panel.group for panel in missing}
    if rest and rest.found.plan.placements and orders:
        short = [p.workorder for p in pulls if p.workorder.number in orders]
        store_plan(act, short, rest)


def _still_fits(pulls: Sequence[Pull], found: PlannedPull) -> None:
    """The order may have changed since its film was planned."""
    orders = [pull.workorder for pull in pulls]
    if changed := changed_since(found, orders, spoilt=pulls[0].plan["spoilt"]):
        raise Refused(*changed, say("Plan again, then take the film."))


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
        known = roll_of_film(workorder, row.roll, field=f"roll_{at}")
        wanted[row.roll.lower()] = known.pk
    behind = OffCut.objects.filter(code__in=used).values_list("roll_id", flat=True)
    locked = {r.pk: r for r in act.lock_all(Roll, {*wanted.values(), *behind})}
    named = {code: locked[pk] for code, pk in wanted.items()}
    rest = {pk: roll for pk, roll in locked.items() if pk not in wanted.values()}
    return named | {roll.code.lower(): roll for roll in rest.values()}


def roll_of_film(workorder: WorkOrder, code: str, *, field: str) -> Roll:
    """The roll of that code, if it is of the order's film."""
    known = Roll.objects.filter(code__iexact=code.strip()).first()
    if known is None:
        raise Refused(say("There is no roll {code}.", code=code), field=field)
    if known.film_id != workorder.film_id:
        raise Refused(
            say(
                "Roll {code} is {other}; this order is for {film}.",
                code=known.code,
                other=known.film.name,
                film=workorder.film.name,
            ),
            field=field,
        )
    return known


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


def _ask_odd(found: PlannedPull, taken: Sequence[RollTaken]) -> None:
    lengths = {pull.roll_id: pull.length_mm for pull in found.plan.pulls}
    for row in taken:
        if row.ended:
            continue
        odd = taken_odd(
            roll=row.roll,
            taken=given(row.length_mm, "mm", "entered"),
            planned=given(lengths[row.planned_roll], "mm", "plan"),
        )
        if odd:
            short = panels_beyond(
                found, roll_id=row.planned_roll, length_mm=row.length_mm
            )
            names = " · ".join(panel.name for panel in short)
            why = [odd, taken_short(panels=names)] if short else [odd]
            raise Refused(*why, field="measured_so")


def _there(
    found: PlannedPull, kept: Sequence[PieceKept], ended: Mapping[str, int]
) -> list[PieceKept]:
    """The pieces that an ended roll reached."""
    there = set(pieces_there(found, [piece.at for piece in kept], ended=ended))
    return [piece for piece in kept if piece.at in there]


def _keep_all(
    act: Act,
    pull: Pull,
    kept: Sequence[PieceKept],
    found: PlannedPull,
    sources: dict[str, Roll],
) -> list[OffCut]:
    """The pieces that go on the shelf; their labels are asked for at once."""
    planned = found.plan.new_offcuts
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


def _taken(
    act: Act, pull: Pull, *, taken_mm: int, missing: Sequence[PanelToCut]
) -> None:
    number = pull.workorder.number
    beyond = {panel.panel for panel in missing if panel.group == number}
    pull.cut_panels = [code for code in pull.cut_panels if code not in beyond]
    pull.state = State.TAKEN
    pull.taken_mm = taken_mm
    pull.taken_at = act.now
    pull.taken_by = act.by
    pull.save()
    let_go(act, pull.workorder)


def let_go(act: Act, workorder: WorkOrder) -> None:
    """The film that the booking held is taken."""
    FilmReservation.objects.filter(
        booking__workorder=workorder, released_at=None
    ).update(released_at=act.now)
