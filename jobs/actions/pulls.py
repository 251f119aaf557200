"""Pulls: film planned for an order, improved meanwhile, taken, cut again."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from jobs.actions.film import What, move, shortage_of
from jobs.actions.offcuts import add_offcut, still_there, take_offcut
from jobs.actions.papers import ask_paper
from jobs.actions.readings import lock_open
from jobs.models import FilmReservation, OffCut, Paper, Pull, Roll, WorkOrder
from jobs.nesting import NewOffcut
from jobs.pull_plan import split_mm
from jobs.queries.pulls import open_pull, panels_cut, planned_with
from jobs.stored_pull import FrozenPull, one_svg, pull_from_json
from shopapp.background import ring
from shopapp.figures import given
from shopapp.frame import Act, Json, Refused, action
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


@action("pull.plan")
def plan_the_pull(act: Act, *, workorder_pk: int, quick: FrozenPull) -> Json:
    """Keep the quick plan and ask a worker for a better one."""
    _lock_with_shared(act, [workorder_pk])
    workorder = lock_open(act, workorder_pk)
    return {"pk": _store(act, [workorder], quick)[0].pk}


@action("pull.plan_day")
def plan_several(act: Act, *, workorder_pks: Sequence[int], quick: FrozenPull) -> Json:
    """Plan the pull of several cars together; each order carries its share."""
    _lock_with_shared(act, workorder_pks)
    workorders = act.lock_all(WorkOrder, workorder_pks)
    if len(workorders) < 2:
        raise Refused(say("Choose two orders or more."), field="workorders")
    for workorder in workorders:
        if workorder.is_closed or workorder.film.code != quick.found.job.film_code:
            raise Refused(
                say("{order} does not take this film.", order=workorder.number),
                field="workorders",
            )
    pulls = _store(act, workorders, quick)
    return {"pk": pulls[0].pk, "workorder_pk": pulls[0].workorder_id}


def _store(
    act: Act,
    workorders: Sequence[WorkOrder],
    frozen: FrozenPull,
    *,
    searched: bool = False,
) -> list[Pull]:
    """The new plan, a row for each order; plans that nobody took give way to it."""
    plan = frozen.found.plan
    if not plan.placements:
        nothing = say("Film has been taken for every panel of this round.")
        raise Refused(*[missing.reason for missing in plan.unplaced] or [nothing])
    together = act.tap.key if len(workorders) > 1 else ""
    shares = {share.group: share.length_mm for share in plan.shares}
    facts, drawing = frozen.facts(together=together), one_svg(frozen.drawings)
    _set_aside(act, workorders)
    pulls = []
    for workorder in workorders:
        pull = Pull.objects.create(
            workorder=workorder,
            round=workorder.round,
            plan=facts,
            drawing_svg=drawing,
            planned_mm=shares.get(workorder.number, 0) if together else plan.length_mm,
            bound_mm=0 if together else plan.bound_mm,
            searched=searched or plan.proven,
            planned_at=act.now,
        )
        pulls.append(pull)
        act.event(
            workorder,
            "pull_improved" if searched else "pull_planned",
            pull=pull,
            planned_mm=pull.planned_mm,
            spoilt=frozen.spoilt,
        )
    if not pulls[0].searched:
        _ring(act, pulls[0])
    return pulls


def _ring(act: Act, pull: Pull) -> None:
    ring(act, "solvers.pull", subject=f"pull {pull.pk}", payload={"pull": pull.pk})


def _lock_with_shared(act: Act, workorder_pks: Sequence[int]) -> None:
    """The orders, and those that share a plan with them: it goes for all of them."""
    wanted = set(workorder_pks)
    locked = wanted | _sharing(wanted)
    act.lock_all(WorkOrder, locked)
    if not _sharing(wanted) <= locked:
        raise Refused(say("Somebody has just planned this film. Press once more."))


def _sharing(workorder_pks: set[int]) -> set[int]:
    """Orders of the waiting plans that these orders have a part in."""
    waiting = Pull.objects.filter(workorder__in=workorder_pks, state=State.PLANNED)
    return {row.workorder_id for pull in waiting for row in planned_with(pull)}


def _set_aside(act: Act, workorders: Sequence[WorkOrder]) -> None:
    """Plans of these orders, and of the cars that they were planned together with.

    The other cars' history says so: their film waits to be planned again.
    """
    ours = {workorder.pk for workorder in workorders}
    waiting = Pull.objects.filter(workorder__in=ours, state=State.PLANNED)
    rows = {row.pk: row for pull in waiting for row in planned_with(pull)}
    Pull.objects.filter(pk__in=rows).update(state=State.REPLACED)
    for row in rows.values():
        if row.workorder_id not in ours:
            because = [workorder.number for workorder in workorders]
            act.event(row.workorder, "pull_set_aside", pull=row, because_of=because)


@action("pull.improve")
def improve_pull(act: Act, *, pull_pk: int, searched: FrozenPull) -> Json:
    """Put a searched plan in the place of the quick one, if it is better.

    Nothing happens when the film has been taken, or planned anew, meanwhile.
    """
    workorders, pulls = _lock_planned(act, pull_pk)
    if pulls:
        if searched.found.is_better_than(pull_from_json(pulls[0].plan)):
            return {"pk": _store(act, workorders, searched, searched=True)[0].pk}
        Pull.objects.filter(pk__in=[pull.pk for pull in pulls]).update(searched=True)
    for workorder in workorders:
        act.unchanged(workorder)
    return {"pk": pull_pk}


def _lock_planned(act: Act, pull_pk: int) -> tuple[list[WorkOrder], list[Pull]]:
    """The orders of a plan, locked, and its rows if it still waits to be taken."""
    pull = Pull.objects.get(pk=pull_pk)
    orders = {row.workorder_id for row in planned_with(pull)} or {pull.workorder_id}
    locked = act.lock_all(WorkOrder, orders)
    pull.refresh_from_db()
    if pull.state != State.PLANNED:
        return locked, []
    return locked, planned_with(pull)


@action("pull.recut")
def recut_panels(act: Act, *, workorder_pk: int, quick: FrozenPull) -> Json:
    """Plan spoilt panels anew, off-cuts first."""
    _lock_with_shared(act, [workorder_pk])
    workorder = lock_open(act, workorder_pk)
    waiting = open_pull(workorder)
    if waiting and not waiting.plan["spoilt"]:
        raise Refused(say("The planned film is not taken yet. Take it first."))
    if never := set(quick.spoilt) - panels_cut(workorder):
        names = {p.panel: p.name for p in quick.found.job.panels}
        raise Refused(
            say(
                "No film was taken for {panel} in this round: plan the pull instead.",
                panel=names[min(never)],
            )
        )
    return {"pk": _store(act, [workorder], quick)[0].pk}


@action("pull.drop")
def drop_pull(act: Act, *, workorder_pk: int, pull_pk: int) -> None:
    """Put a plan aside that nobody took."""
    _lock_with_shared(act, [workorder_pk])
    workorder = lock_open(act, workorder_pk)
    pull = _planned(workorder, pull_pk)
    _set_aside(act, [workorder])
    act.event(workorder, "pull_dropped", pull=pull)


@action("pull.confirm")
def confirm_pull(
    act: Act,
    *,
    workorder_pk: int,
    pull_pk: int,
    taken: Sequence[RollTaken],
    kept: Sequence[PieceKept] = (),
) -> None:
    """Film was taken: rolls get shorter, off-cuts are used, new ones are kept."""
    pulls = _lock_to_take(act, workorder_pk, pull_pk)
    first, workorder = pulls[0], pulls[0].workorder
    found = pull_from_json(first.plan)
    rolls = _lock_rolls(act, workorder, taken, used=found.plan.used_offcuts)
    offcuts = _lock_offcuts(act, workorder, found.plan.used_offcuts)
    _check_rolls(first, taken, rolls)
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
    workorders, pulls = _lock_planned(act, pull_pk)
    orders = {workorder.pk: workorder for workorder in workorders}
    _planned(orders.get(workorder_pk), pull_pk)
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


def _planned(workorder: WorkOrder | None, pull_pk: int) -> Pull:
    pull = workorder.pulls.filter(pk=pull_pk).first() if workorder else None
    if pull is None:
        raise Refused(say("This plan is not of this order."))
    if pull.state == State.TAKEN:
        raise Refused(say("The film of this plan has been taken already."))
    if pull.state == State.REPLACED:
        raise Refused(say("This plan was replaced by a later one. Look at that one."))
    return pull


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
