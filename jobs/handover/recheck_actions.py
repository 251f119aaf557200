"""The recheck: what it found."""

from __future__ import annotations

from datetime import datetime

from jobs.models import Defect, Recheck, WorkOrder
from shopapp.frame import Act, Json, Refused, action
from shopapp.say import say


@action("recheck.record")
def record_recheck(
    act: Act,
    *,
    workorder_pk: int,
    outcome: str,
    note: str = "",
    again_at: datetime | None = None,
) -> Json:
    """Keep what the recheck found; what was watched and is fine is over.

    again_at  when it is looked at once more, where it is watched on
    """
    workorder = act.lock(WorkOrder, workorder_pk)
    due_at = workorder.recheck_at
    if not workorder.is_closed or due_at is None:
        raise Refused(say("A recheck comes after the hand-over."))
    if workorder.rechecks.filter(due_at=due_at).exists():
        raise Refused(say("What this recheck found is written down already."))
    if outcome not in Recheck.Outcome.values:
        raise Refused(say("Say what the recheck found."), field="outcome")
    if outcome == Recheck.Outcome.DID_NOT_COME and act.now < due_at:
        raise Refused(say("This recheck is still to come."), field="outcome")
    if again_at is not None and again_at <= act.now:
        raise Refused(
            say("This time has passed. Choose a later one."), field="again_at"
        )
    row = Recheck.objects.create(
        workorder=workorder,
        due_at=due_at,
        outcome=outcome,
        note=note.strip(),
        by=act.by,
        at=act.now,
    )
    over = _over(act, workorder) if outcome == Recheck.Outcome.FINE else []
    if outcome == Recheck.Outcome.WATCH and again_at is not None:
        workorder.recheck_at = again_at
        workorder.save(update_fields=["recheck_at"])
    act.event(
        workorder,
        "recheck_found",
        outcome=outcome,
        recheck=row,
        defects=over,
        next_at=workorder.recheck_at,
    )
    return {"pk": row.pk}


def _over(act: Act, workorder: WorkOrder) -> list[Defect]:
    """What was watched until the recheck has gone."""
    watched = list(workorder.defects.filter(state=Defect.State.WATCH))
    for defect in watched:
        defect.state = Defect.State.GONE
        defect.settled_by, defect.settled_at = act.by, act.now
        defect.save(update_fields=["state", "settled_by", "settled_at"])
    return watched
