"""Panels on the order: ready, laid, struck off, measured."""

from __future__ import annotations

from jobs import limits
from jobs.condition.reading_actions import known_panel, lock_open
from jobs.coverage.blanks import size_problem
from jobs.coverage.catalogue import Body
from jobs.models import Defect, MeasuredPanel, OrderPanel, Pull, WorkOrder
from jobs.panels.may import why_not
from jobs.panels.queries import panel_facts
from jobs.panels.redo_queries import came_back_for, waits_for_film
from jobs.solutions.bottle_queries import ties_in_use
from jobs.stages.queries import last_reading
from mixing.bench.queries import is_fresh
from shopapp.frame import Act, Refused, action
from shopapp.models import the_shop
from shopapp.say import say
from shopapp.units import System


def order_panel(workorder: WorkOrder, panel_pk: int) -> OrderPanel:
    """A panel of this order; another order's panel is not found."""
    try:
        return workorder.panels.get(pk=panel_pk)
    except OrderPanel.DoesNotExist:
        raise Refused(say("This panel is not on this order.")) from None


def may_do(workorder: WorkOrder, panel: OrderPanel, *, do: str) -> None:
    """Refuse with the sentence that greys the button."""
    if sentence := why_not(do, panel_facts(workorder, panel)):
        raise Refused(sentence)


@action("panel.ready")
def make_panel_ready(
    act: Act, *, workorder_pk: int, panel_pk: int, ready: bool = True
) -> None:
    """Say that a panel is clean, dry and ready for film, or take that back."""
    workorder = lock_open(act, workorder_pk)
    panel = order_panel(workorder, panel_pk)
    may_do(workorder, panel, do="ready" if ready else "unready")
    panel.ready_at = act.now if ready else None
    panel.ready_by = act.by if ready else None
    panel.save(update_fields=["ready_at", "ready_by"])
    act.event(workorder, "panel_ready" if ready else "panel_not_ready", panel=panel)


@action("panel.all_ready")
def make_all_ready(act: Act, *, workorder_pk: int) -> None:
    """Say that every panel still in prep is ready: on a small coverage one wipe."""
    workorder = lock_open(act, workorder_pk)
    waiting = list(
        workorder.panels.filter(ready_at=None, laid_at=None, struck_off_at=None)
    )
    if not waiting:
        raise Refused(say("Every panel is ready already."))
    for panel in waiting:
        may_do(workorder, panel, do="ready")
        panel.ready_at = act.now
        panel.ready_by = act.by
        panel.save(update_fields=["ready_at", "ready_by"])
    act.event(workorder, "panels_ready", panels=waiting)


@action("panel.lay")
def lay_panel(act: Act, *, workorder_pk: int, panel_pk: int) -> None:
    """Say that film is on a panel: by whom, from which pull, with which batches.

    The batches, the reading and the pull are those in force now: the answer to
    "what was in the bottle, how warm was the bay, which roll, whose hands". What
    was laid is a fact: no bottle holds it up, one past its time is marked.
    """
    workorder = lock_open(act, workorder_pk)
    panel = order_panel(workorder, panel_pk)
    may_do(workorder, panel, do="lay")
    panel.laid_at = act.now
    panel.laid_by = act.by
    panel.laid_round = workorder.round
    panel.reading = last_reading(workorder)
    panel.pull = pull_of(workorder, panel.panel)
    panel.save()
    batches = [tie.batch for tie in ties_in_use(workorder, at=act.now)]
    panel.batches.set(batches)
    waits = waits_for_film(workorder, panel)
    waits.filter(state=Defect.State.REDO).update(state=Defect.State.REDONE)
    came_back_for(workorder, panel).filter(state=Defect.State.OPEN).update(
        state=Defect.State.REDONE, settled_by=act.by, settled_at=act.now
    )
    act.event(
        workorder,
        "panel_laid",
        panel=panel,
        code=panel.panel,
        round=workorder.round,
        reading=panel.reading,
        pull=panel.pull,
        batches=batches,
    )
    if past := [batch for batch in batches if not is_fresh(batch, at=act.now)]:
        act.event(workorder, "laid_past_its_time", code=panel.panel, batches=past)


@action("panel.unlay")
def take_back_laid(act: Act, *, workorder_pk: int, panel_pk: int) -> None:
    """Undo "laid": the panel was tapped by mistake."""
    workorder = lock_open(act, workorder_pk)
    panel = order_panel(workorder, panel_pk)
    may_do(workorder, panel, do="unlay")
    panel.laid_at = panel.laid_by = panel.reading = panel.pull = None
    panel.save()
    panel.batches.clear()
    # Film of an earlier round was taken off for this one: it is still to be redone.
    redone = panel.defects.filter(state=Defect.State.REDONE, round__lt=workorder.round)
    redone.filter(settled_at__gte=workorder.stage_since).update(state=Defect.State.REDO)
    back = came_back_for(workorder, panel).filter(state=Defect.State.REDONE)
    back.update(state=Defect.State.REDO)
    act.event(workorder, "panel_laid_undone", panel=panel, code=panel.panel)


@action("panel.strike")
def strike_panel(
    act: Act, *, workorder_pk: int, panel_pk: int, because: str = ""
) -> None:
    """Strike a panel off the order, with the reason; an empty one puts it back."""
    workorder = lock_open(act, workorder_pk)
    panel = order_panel(workorder, panel_pk)
    may_do(workorder, panel, do="strike")
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


@action("panel.measure", within=limits.PANEL)
def measure_panel(
    act: Act,
    *,
    workorder_pk: int,
    panel: str,
    length_mm: int,
    width_mm: int,
    year_from: int | None = None,
    year_to: int | None = None,
) -> dict[str, int]:
    """Keep the measured size of a panel of this car; it wins over the template.

    year_from, year_to  cars that it holds for, open where unsaid; if nothing is said,
                        those of this car's year
    """
    workorder = lock_open(act, workorder_pk)
    known_panel(workorder, panel)
    vehicle = workorder.vehicle
    first, last = year_from, year_to
    if first is None and last is None:
        first = last = vehicle.year
    if first and last and first > last:
        raise Refused(say("The last year lies before the first."), field="year_to")
    year = vehicle.year
    if year and not (first or year) <= year <= (last or year):
        raise Refused(
            say("This car is of {year}; the years must hold it.", year=str(year)),
            field="year_from",
        )
    if sentence := size_problem(
        panel,
        length_mm=length_mm,
        width_mm=width_mm,
        size_class=vehicle.size_class,
        body=Body(vehicle.body),
        unit="mm" if the_shop().system is System.METRIC else "in",
    ):
        raise Refused(sentence, field="length_mm")
    row = MeasuredPanel.objects.create(
        make=vehicle.make,
        model=vehicle.model,
        body=vehicle.body,
        year_from=first,
        year_to=last,
        panel=panel,
        length_mm=length_mm,
        width_mm=width_mm,
        measured_by=act.by,
        measured_at=act.now,
    )
    act.event(workorder, "panel_measured", panel=panel, size_mm=[length_mm, width_mm])
    return {"pk": row.pk}


def pull_of(workorder: WorkOrder, code: str) -> Pull | None:
    """The film that was taken for a panel, the newest; else the newest of the round."""
    taken = list(workorder.pulls.filter(state=Pull.State.TAKEN))
    ours = [pull for pull in taken if code in pull.cut_panels]
    this_round = [pull for pull in taken if pull.round == workorder.round]
    found = [pull for pull in ours if pull in this_round] or ours or this_round or taken
    return found[0] if found else None
