"""Panels on the order: ready, laid, struck off, measured."""

from __future__ import annotations

from jobs.actions.readings import known_panel, lock_open
from jobs.models import MeasuredPanel, OrderPanel, Pull, WorkOrder
from jobs.queries.stages import last_reading
from jobs.stages import Stage
from mixing.queries import is_fresh
from shopapp.frame import Act, Refused, action
from shopapp.say import say


def order_panel(workorder: WorkOrder, panel_pk: int) -> OrderPanel:
    """A panel of this order; another order's panel is not found."""
    try:
        return workorder.panels.get(pk=panel_pk)
    except OrderPanel.DoesNotExist:
        raise Refused(say("This panel is not on this order.")) from None


@action("panel.ready")
def make_panel_ready(
    act: Act, *, workorder_pk: int, panel_pk: int, ready: bool = True
) -> None:
    """Say that a panel is clean, dry and ready for film, or take that back."""
    workorder = lock_open(act, workorder_pk)
    panel = order_panel(workorder, panel_pk)
    if workorder.stage_now is Stage.INTAKE:
        raise Refused(say("Take the car into prep first."))
    if panel.struck_off_at:
        raise Refused(say("This panel is struck off."))
    if not ready and panel.laid_at:
        raise Refused(say("There is film on this panel."))
    panel.ready_at = act.now if ready else None
    panel.ready_by = act.by if ready else None
    panel.save(update_fields=["ready_at", "ready_by"])
    act.event(workorder, "panel_ready" if ready else "panel_not_ready", panel=panel)


@action("panel.lay")
def lay_panel(act: Act, *, workorder_pk: int, panel_pk: int) -> None:
    """Say that film is on a panel: by whom, from which pull, with which batches.

    The batches, the reading and the pull are those in force now: the answer to
    "what was in the bottle, how warm was the bay, which roll, whose hands".
    """
    workorder = lock_open(act, workorder_pk)
    panel = order_panel(workorder, panel_pk)
    if workorder.stage_now is not Stage.INSTALL:
        raise Refused(say("Film is laid in the install stage. Move the car there."))
    if panel.struck_off_at:
        raise Refused(say("This panel is struck off."))
    if panel.laid_at and panel.laid_round == workorder.round:
        raise Refused(say("This panel is laid already."))
    panel.laid_at = act.now
    panel.laid_by = act.by
    panel.laid_round = workorder.round
    panel.reading = last_reading(workorder)
    panel.pull = last_pull(workorder)
    panel.save()
    ties = workorder.order_batches.filter(round=workorder.round)
    fresh = [
        tie.batch
        for tie in ties.select_related("batch")
        if is_fresh(tie.batch, at=act.now)
    ]
    panel.batches.set(fresh)
    act.event(
        workorder,
        "panel_laid",
        panel=panel,
        code=panel.panel,
        round=workorder.round,
        reading=panel.reading,
        pull=panel.pull,
        batches=fresh,
    )


@action("panel.unlay")
def take_back_laid(act: Act, *, workorder_pk: int, panel_pk: int) -> None:
    """Undo "laid": the panel was tapped by mistake."""
    workorder = lock_open(act, workorder_pk)
    panel = order_panel(workorder, panel_pk)
    if not panel.laid_at or panel.laid_round != workorder.round:
        raise Refused(say("This panel is not laid in this round."))
    if panel.looks.filter(round=workorder.round).exists():
        raise Refused(say("This panel has been looked at already."))
    panel.laid_at = panel.laid_by = panel.reading = panel.pull = None
    panel.save()
    panel.batches.clear()
    act.event(workorder, "panel_laid_undone", panel=panel, code=panel.panel)


@action("panel.strike")
def strike_panel(
    act: Act, *, workorder_pk: int, panel_pk: int, because: str = ""
) -> None:
    """Strike a panel off the order, with the reason; an empty one puts it back."""
    workorder = lock_open(act, workorder_pk)
    panel = order_panel(workorder, panel_pk)
    if panel.laid_at:
        raise Refused(say("There is film on this panel."))
    off = bool(because.strip())
    panel.struck_off_at = act.now if off else None
    panel.struck_off_because = because.strip()
    panel.save(update_fields=["struck_off_at", "struck_off_because"])
    act.event(
        workorder,
        "panel_struck_off" if off else "panel_put_back",
        panel=panel,
        code=panel.panel,
        because=panel.struck_off_because,
    )


@action("panel.measure")
def measure_panel(
    act: Act, *, workorder_pk: int, panel: str, length_mm: int, width_mm: int
) -> dict[str, int]:
    """Keep the measured size of a panel of this car; it wins over the template."""
    workorder = lock_open(act, workorder_pk)
    known_panel(workorder, panel)
    vehicle = workorder.vehicle
    row = MeasuredPanel.objects.create(
        make=vehicle.make,
        model=vehicle.model,
        body=vehicle.body,
        year_from=vehicle.year,
        year_to=vehicle.year,
        panel=panel,
        length_mm=length_mm,
        width_mm=width_mm,
        measured_by=act.by,
        measured_at=act.now,
    )
    act.event(workorder, "panel_measured", panel=panel, size_mm=[length_mm, width_mm])
    return {"pk": row.pk}


def last_pull(workorder: WorkOrder) -> Pull | None:
    """The newest pull taken for this order in this round."""
    taken = workorder.pulls.filter(state=Pull.State.TAKEN)
    return taken.filter(round=workorder.round).first() or taken.first()
