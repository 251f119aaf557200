"""Off-cuts: kept with a label and a place, used, scrapped."""

from __future__ import annotations

from jobs import limits
from jobs.film.actions import What, code_taken, move
from jobs.models import OffCut, Paper, Pull, Roll, WorkOrder
from jobs.papers.actions import ask_paper
from shopapp.figures import given
from shopapp.frame import Act, Json, Refused, action
from shopapp.say import say

CODE_SIGNS = 12


@action("offcut.keep", within=limits.OFFCUT)
def keep_offcut(
    act: Act, *, roll_pk: int, width_mm: int, length_mm: int, location: str = ""
) -> Json:
    """Keep a piece that is left of a roll: it gets a code, a place and its label."""
    roll = act.lock(Roll, roll_pk)
    if width_mm > roll.width_mm:
        raise Refused(
            say(
                "Roll {roll} is only {width} wide.",
                roll=roll.code,
                width=given(roll.width_mm, "mm", "roll"),
            ),
            field="width_mm",
        )
    offcut = add_offcut(
        act, roll=roll, width_mm=width_mm, length_mm=length_mm, location=location
    )
    ask_paper(
        act,
        kind=Paper.Kind.OFFCUT_LABEL,
        workorder=None,
        subject=f"offcut {offcut.pk}",
    )
    return {"pk": offcut.pk}


def add_offcut(
    act: Act,
    *,
    roll: Roll,
    width_mm: int,
    length_mm: int,
    location: str,
    workorder: WorkOrder | None = None,
    pull: Pull | None = None,
) -> OffCut:
    """A new off-cut of a locked roll, with the next code of that roll."""
    offcut = OffCut.objects.create(
        film_id=roll.film_id,
        roll=roll,
        code=next_code(roll),
        width_mm=width_mm,
        length_mm=length_mm,
        location=location,
        kept_at=act.now,
    )
    move(
        act,
        what=What.OFFCUT_KEPT,
        roll=roll,
        offcut=offcut,
        workorder=workorder,
        pull=pull,
    )
    return offcut


def next_code(roll: Roll) -> str:
    """ "R7-3": the roll's code and a number. The roll is locked: no rival has it."""
    number = roll.offcuts.count() + 1
    while True:
        tail = f"-{number}"
        code = roll.code[: CODE_SIGNS - len(tail)] + tail
        if not code_taken(code):
            return code
        number += 1


@action("offcut.scrap")
def scrap_offcut(act: Act, *, offcut_pk: int, reason: str) -> None:
    """Throw an off-cut away, and say why."""
    roll, offcut = _lock_with_roll(act, offcut_pk)
    still_there(offcut)
    offcut.scrapped_at = act.now
    offcut.save(update_fields=["scrapped_at"])
    move(act, what=What.SCRAPPED, roll=roll, offcut=offcut, reason=reason)


@action("offcut.use")
def use_offcut(
    act: Act, *, offcut_pk: int, workorder_pk: int | None = None, reason: str = ""
) -> None:
    """Use an off-cut outside a plan: a small piece, a test, a patch."""
    workorder = act.lock(WorkOrder, workorder_pk) if workorder_pk else None
    roll, offcut = _lock_with_roll(act, offcut_pk)
    take_offcut(act, roll=roll, offcut=offcut, workorder=workorder, reason=reason)
    if workorder:
        act.event(workorder, "offcut_used", offcut=offcut)


def take_offcut(
    act: Act,
    *,
    roll: Roll,
    offcut: OffCut,
    workorder: WorkOrder | None,
    pull: Pull | None = None,
    reason: str = "",
) -> None:
    """Use up a locked off-cut, unless somebody was faster."""
    still_there(offcut)
    offcut.used_at = act.now
    offcut.save(update_fields=["used_at"])
    move(
        act,
        what=What.OFFCUT_USED,
        roll=roll,
        offcut=offcut,
        workorder=workorder,
        pull=pull,
        reason=reason,
    )


def still_there(offcut: OffCut) -> None:
    """Refuse an off-cut that is used or thrown away."""
    if offcut.used_at:
        sentence = say(
            "Off-cut {code} was used on {when}.", code=offcut.code, when=offcut.used_at
        )
        raise Refused(sentence)
    if offcut.scrapped_at:
        sentence = say(
            "Off-cut {code} was thrown away on {when}.",
            code=offcut.code,
            when=offcut.scrapped_at,
        )
        raise Refused(sentence)


def _lock_with_roll(act: Act, offcut_pk: int) -> tuple[Roll, OffCut]:
    """The roll first: locks are taken in one order everywhere."""
    roll_pk = OffCut.objects.values_list("roll_id", flat=True).filter(pk=offcut_pk)
    if (pk := roll_pk.first()) is None:
        raise Refused(say("This off-cut is not there any more."))
    return act.lock(Roll, pk), act.lock(OffCut, offcut_pk)
