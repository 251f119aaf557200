"""Film taken without a plan: one number, from one roll."""

from __future__ import annotations

from collections.abc import Sequence

from jobs import limits
from jobs.condition.reading_actions import lock_open
from jobs.film.actions import What, move, shortage_of
from jobs.models import Pull, Roll, WorkOrder
from jobs.pulls.actions import lock_with_shared, set_aside
from jobs.pulls.queries import open_pull, panels_to_cut
from jobs.pulls.taken_actions import let_go, roll_ended, roll_of_film
from shopapp.frame import Act, Json, Refused, action
from shopapp.say import say


@action("pull.unplanned", within=limits.TAKEN)
def take_unplanned(
    act: Act,
    *,
    workorder_pk: int,
    roll: str,
    length_mm: int,
    panels: Sequence[str] = (),
    ended: bool = False,
) -> Json:
    """Film was taken off a roll by eye: how much, and for which panels, if any.

    ended  there was no more on the roll
    """
    lock_with_shared(act, [workorder_pk])
    workorder = lock_open(act, workorder_pk)
    row = act.lock(Roll, roll_of_film(workorder, roll, field="roll").pk)
    if short := shortage_of(row, length_mm):
        raise Refused(short, field="length_mm")
    _none_waits_for_these(act, workorder, panels)
    pull = Pull.objects.create(
        workorder=workorder,
        round=workorder.round,
        state=Pull.State.TAKEN,
        cut_panels=list(panels),
        planned_mm=0,
        taken_mm=length_mm,
        taken_at=act.now,
        taken_by=act.by,
    )
    move(
        act,
        what=What.PULLED,
        roll=row,
        change_mm=-length_mm,
        workorder=workorder,
        pull=pull,
    )
    act.event(workorder, "film_pulled", pull=pull, rolls=[row], length_mm=length_mm)
    if ended:
        roll_ended(act, row, pull=pull)
    let_go(act, workorder)
    return {"pk": pull.pk}


def _none_waits_for_these(
    act: Act, workorder: WorkOrder, panels: Sequence[str]
) -> None:
    """The panels still want film; a plan that was to cut one of them is put aside."""
    wanting = {panel.panel for panel in panels_to_cut(workorder)}
    if not wanting.issuperset(panels):
        raise Refused(
            say("Some of these panels wait for film no more. Look at the list again."),
            field="panels",
        )
    waiting = open_pull(workorder)
    if waiting and set(panels) & set(waiting.cut_panels):
        set_aside(act, [workorder])
