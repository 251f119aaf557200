"""Looking at the film: panels looked at, defects, the final look."""

from __future__ import annotations

from typing import Any

from jobs import limits
from jobs.condition.marks import SeenDefect, outside_standard
from jobs.condition.reading_actions import lock_open
from jobs.findings.queries import may_redo
from jobs.findings.trace import defect_kinds
from jobs.models import Defect, FinalLook, OrderPanel, PanelLook, WorkOrder
from jobs.panels.actions import may_do, order_panel
from jobs.panels.queries import acceptance_standard, wants_look
from jobs.panels.redo_queries import film_as_it_was, with_its_film
from jobs.stages.table import May
from jobs.workorders.actions import enter
from shopapp.frame import Act, Refused, action
from shopapp.models import StoredFile
from shopapp.say import say

State = Defect.State


@action("panel.look")
def look_at_panel(act: Act, *, workorder_pk: int, panel_pk: int) -> None:
    """Say that a laid panel has been looked at under hard light."""
    workorder = lock_open(act, workorder_pk)
    panel = order_panel(workorder, panel_pk)
    may_do(workorder, panel, do="look")
    PanelLook.objects.create(
        order_panel=panel, round=workorder.round, by=act.by, at=act.now
    )
    act.event(workorder, "panel_looked_at", panel=panel, code=panel.panel)


@action("panel.all_looked")
def look_at_the_rest(act: Act, *, workorder_pk: int) -> None:
    """Say that the rest was looked at: all fine.

    The rest is what nobody has looked at yet, or only the person who laid it.
    """
    workorder = lock_open(act, workorder_pk)
    unseen = [
        panel
        for panel in workorder.panels.prefetch_related("looks")
        if wants_look(panel, by_pk=act.by.pk)
    ]
    if not unseen:
        raise Refused(say("Every laid panel has been looked at."))
    PanelLook.objects.bulk_create(
        PanelLook(order_panel=panel, round=workorder.round, by=act.by, at=act.now)
        for panel in unseen
    )
    act.event(workorder, "panels_looked_at", panels=unseen)


@action("panel.unlook")
def take_back_look(act: Act, *, workorder_pk: int, panel_pk: int) -> None:
    """Undo one's own last look: the panel was tapped by mistake."""
    workorder = lock_open(act, workorder_pk)
    panel = order_panel(workorder, panel_pk)
    look = panel.looks.filter(round=workorder.round).last()
    if look is None or look.by_id != act.by.pk:
        raise Refused(say("This panel was not looked at by you in this round."))
    look.delete()
    act.event(workorder, "panel_look_undone", panel=panel, code=panel.panel)


@action("defect.open", within=limits.MARK)
def open_defect(
    act: Act,
    *,
    workorder_pk: int,
    panel_pk: int,
    kind: str,
    size_mm: float | None = None,
    note: str = "",
    photo: StoredFile | None = None,
) -> dict[str, Any]:
    """Write down something wrong with the film. Seeing it is looking at it."""
    workorder = lock_open(act, workorder_pk)
    panel = order_panel(workorder, panel_pk)
    if kind not in defect_kinds():
        raise Refused(say("Choose what is seen."), field="kind")
    may_do(workorder, panel, do="defect")
    defect = Defect.objects.create(
        workorder=workorder,
        order_panel=panel,
        kind=kind,
        size_mm=size_mm,
        note=note.strip(),
        photo=photo,
        outside_standard=_is_outside(panel, kind=kind, size_mm=size_mm),
        round=workorder.round,
        found_by=act.by,
        found_at=act.now,
    )
    PanelLook.objects.create(
        order_panel=panel, round=workorder.round, by=act.by, at=act.now
    )
    act.event(
        workorder,
        "defect",
        defect=defect,
        panel=panel,
        kind=kind,
        size_mm=size_mm,
        outside_standard=defect.outside_standard,
    )
    return {"pk": defect.pk, "outside_standard": defect.outside_standard}


def _is_outside(panel: OrderPanel, *, kind: str, size_mm: float | None) -> bool:
    """Whether this defect, with those already on the panel, is over the standard."""
    here = SeenDefect(name="this", panel=panel.panel, kind=kind, size_mm=size_mm)
    others = [
        SeenDefect(
            name=str(known.pk),
            panel=panel.panel,
            kind=known.kind,
            size_mm=known.size_mm,
        )
        for known in panel.defects.filter(state=State.OPEN)
    ]
    return here in outside_standard([*others, here], standard=acceptance_standard())


@action("defect.touch_up")
def touch_up_defect(
    act: Act, *, workorder_pk: int, defect_pk: int, note: str = ""
) -> None:
    """Put a defect right without new film; the round stays."""
    _settle(act, workorder_pk, defect_pk, to=State.TOUCHED_UP, note=note)


@action("defect.watch")
def watch_defect(
    act: Act, *, workorder_pk: int, defect_pk: int, note: str = ""
) -> None:
    """Leave a defect that goes by itself, and look again at the recheck."""
    _settle(act, workorder_pk, defect_pk, to=State.WATCH, note=note)


@action("defect.accept")
def accept_defect(act: Act, *, workorder_pk: int, defect_pk: int, note: str) -> None:
    """Accept a defect outside the standard, with the manager's reason."""
    if not note.strip():
        raise Refused(say("Say why it is accepted."), field="note")
    _settle(act, workorder_pk, defect_pk, to=State.ACCEPTED, note=note)


@action("defect.redo")
def redo_panel(act: Act, *, workorder_pk: int, defect_pk: int, note: str = "") -> None:
    """New film for the panel of a defect: back to install in a new round."""
    workorder, defect = _open_defect(act, workorder_pk, defect_pk)
    check_redo(workorder, defect)
    came_from = workorder.stage_now
    was = film_as_it_was(workorder, defect)
    for other in with_its_film(defect):
        _write(act, other, to=State.REDO, note="")
    _write(act, defect, to=State.REDO, note=note)
    take_film_off(defect.order_panel)
    if back_to := came_from.row.back_to:
        if came_from.may(May.FINAL_LOOK):
            _looked_and_found(act, workorder, note=note)
        workorder.round += 1
        enter(workorder, to=back_to, at=act.now)
    act.event(
        workorder,
        "redo",
        defect=defect,
        panel=defect.order_panel,
        came_from=came_from,
        round=workorder.round,
        was=was,
    )


def check_redo(workorder: WorkOrder, defect: Defect) -> None:
    """Refuse a redo that has no round to go into."""
    if not may_redo(workorder, defect):
        raise Refused(say("A redo starts from inspection or from the final look."))
    if workorder.is_paused:
        raise Refused(
            say(
                "The job is paused: {why}. Go on with it first.",
                why=workorder.paused_because,
            )
        )


def _looked_and_found(act: Act, workorder: WorkOrder, *, note: str) -> None:
    """A redo after the cure time is what the final look of this round found."""
    FinalLook.objects.create(
        workorder=workorder,
        round=workorder.round,
        outcome=FinalLook.Outcome.REDO,
        note=note.strip(),
        by=act.by,
        at=act.now,
    )


def take_film_off(panel: OrderPanel) -> None:
    """The panel waits for new film; what was laid before stands in the history."""
    panel.laid_at = panel.laid_by = panel.reading = panel.pull = None
    panel.save()
    panel.batches.clear()


def _open_defect(
    act: Act, workorder_pk: int, defect_pk: int
) -> tuple[WorkOrder, Defect]:
    workorder = lock_open(act, workorder_pk)
    defect = workorder.defects.filter(pk=defect_pk).first()
    if defect is None:
        raise Refused(say("This defect is not on this order."))
    if defect.state not in (State.OPEN, State.WATCH):
        raise Refused(say("This defect is settled already."))
    return workorder, defect


def _settle(
    act: Act, workorder_pk: int, defect_pk: int, *, to: Defect.State, note: str
) -> None:
    workorder, defect = _open_defect(act, workorder_pk, defect_pk)
    _write(act, defect, to=to, note=note)
    act.event(
        workorder,
        f"defect_{to.value}",
        defect=defect,
        panel=defect.order_panel,
        note=note,
    )


def _write(act: Act, defect: Defect, *, to: Defect.State, note: str) -> None:
    defect.state = to
    defect.settled_by = act.by
    defect.settled_at = act.now
    defect.settled_note = note.strip()
    defect.save()


@action("finallook.record")
def record_final_look(
    act: Act, *, workorder_pk: int, outcome: str, note: str = ""
) -> dict[str, Any]:
    """Keep what the look after the cure time found."""
    workorder = lock_open(act, workorder_pk)
    if not workorder.stage_now.may(May.FINAL_LOOK):
        raise Refused(say("The final look comes after the cure time."))
    if outcome not in FinalLook.Outcome.values:
        raise Refused(say("Say what the look found."), field="outcome")
    if outcome == FinalLook.Outcome.REDO:
        raise Refused(
            say("Write the defect down and choose new film there."), field="outcome"
        )
    look = FinalLook.objects.create(
        workorder=workorder,
        round=workorder.round,
        outcome=outcome,
        note=note.strip(),
        by=act.by,
        at=act.now,
    )
    act.event(workorder, "final_look", outcome=outcome, note=note.strip())
    return {"pk": look.pk}
