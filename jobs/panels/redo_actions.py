"""A redo taken back: the old film is still on, and everything is as it was."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from jobs.condition.reading_actions import lock_open
from jobs.models import Defect, FinalLook, WorkOrder
from jobs.panels.redo_queries import redo_of, waiting_solutions
from jobs.stages.table import May, Stage
from shopapp.frame import Act, Refused, action
from shopapp.say import say


@action("defect.redo_undo")
def take_back_redo(act: Act, *, workorder_pk: int, defect_pk: int) -> None:
    """Undo "new film": the film stays on, its defects stand as they stood."""
    workorder = lock_open(act, workorder_pk)
    defect = workorder.defects.filter(pk=defect_pk).first()
    if defect is None:
        raise Refused(say("This defect is not on this order."))
    redo = redo_of(workorder, defect)
    if redo.why_not is not None:
        raise Refused(redo.why_not)
    assert redo.event is not None
    facts = redo.event.facts
    _film_back(defect, facts["was"])
    came_from = Stage(facts["came_from"])
    if not came_from.may(May.LAY):
        _round_back(workorder, to=came_from, was=facts["was"])
    act.event(
        workorder,
        "redo_undone",
        defect=defect,
        panel=defect.order_panel,
        round=workorder.round,
    )


def _film_back(defect: Defect, was: dict[str, Any]) -> None:
    panel = defect.order_panel
    panel.laid_at = datetime.fromisoformat(was["laid_at"])
    panel.laid_by_id, panel.laid_round = was["laid_by"], was["laid_round"]
    panel.reading_id, panel.pull_id = was["reading"], was["pull"]
    panel.save()
    panel.batches.set(was["batches"])
    for pk, state in was["defects"].items():
        settled: dict[str, Any] = {"settled_by": None, "settled_at": None}
        Defect.objects.filter(pk=pk, order_panel=panel).update(
            state=state, settled_note="", **settled
        )


def _round_back(workorder: WorkOrder, *, to: Stage, was: dict[str, Any]) -> None:
    """The round that this redo began goes, with what nobody has filled in."""
    waiting_solutions(workorder).delete()
    lists = workorder.checklists.filter(round=workorder.round)
    lists.filter(answers__isnull=True).delete()
    workorder.round -= 1
    workorder.stage = to.value
    workorder.stage_since = datetime.fromisoformat(was["stage_since"])
    workorder.save(update_fields=["round", "stage", "stage_since"])
    if to.may(May.FINAL_LOOK):
        # The final look that the redo wrote down found nothing after all.
        looks = workorder.final_looks.filter(round=workorder.round)
        found = looks.filter(outcome=FinalLook.Outcome.REDO).last()
        if found is not None:
            found.delete()
