"""The promised time: another one, one that will not hold, one that holds after all."""

from __future__ import annotations

from datetime import datetime

from jobs.models import PromiseCheck, WorkOrder
from shopapp.frame import Act, Refused, action
from shopapp.say import say

Outcome = PromiseCheck.Outcome


@action("workorder.promise")
def change_promise(
    act: Act, *, workorder_pk: int, promised_at: datetime, because: str = ""
) -> None:
    """Promise the car for another time; the customer is told by whoever does it."""
    workorder = _open_order(act, workorder_pk)
    before = _promise(workorder, promised_at, now=act.now)
    _settle(act, workorder, Outcome.TOLD)
    act.event(
        workorder,
        "promised",
        was_for=before,
        now_for=promised_at,
        because=because.strip(),
    )


@action("promise.doubt")
def doubt_promise(act: Act, *, workorder_pk: int, because: str = "") -> None:
    """Say that the promised time will not hold: the customer is to be called."""
    workorder = _open_order(act, workorder_pk)
    if _waiting(workorder):
        raise Refused(say("This was said already. The desk calls the customer."))
    PromiseCheck.objects.create(
        workorder=workorder,
        because=because.strip(),
        said_by=act.tap.by,
        said_at=act.now,
    )
    act.event(workorder, "promise_doubted", because=because.strip())


@action("promise.tell")
def tell_promise(act: Act, *, workorder_pk: int, promised_at: datetime) -> None:
    """The customer was called and told another time."""
    workorder = _open_order(act, workorder_pk)
    before = _promise(workorder, promised_at, now=act.now)
    _settle(act, workorder, Outcome.TOLD)
    act.event(workorder, "promise_told", was_for=before, now_for=promised_at)


@action("promise.keep")
def keep_promise(act: Act, *, workorder_pk: int) -> None:
    """The promised time holds after all."""
    workorder = _open_order(act, workorder_pk)
    if not _settle(act, workorder, Outcome.KEPT):
        raise Refused(say("Nobody doubts this promise any more."))
    act.event(workorder, "promise_kept", now_for=workorder.promised_at)


def _open_order(act: Act, workorder_pk: int) -> WorkOrder:
    workorder = act.lock(WorkOrder, workorder_pk)
    if workorder.is_closed:
        raise Refused(say("This order is closed."))
    return workorder


def _promise(workorder: WorkOrder, promised_at: datetime, *, now: datetime) -> datetime:
    """Write the new promise; the one before is the answer."""
    before = workorder.promised_at
    # A browser's field holds no seconds.
    if promised_at == before.replace(second=0, microsecond=0):
        raise Refused(say("That is the promise already."), field="promised_at")
    if promised_at <= workorder.arrived_at:
        raise Refused(say("The promise lies before the arrival."), field="promised_at")
    if promised_at <= now:
        raise Refused(
            say("This time has passed. Choose a later one."), field="promised_at"
        )
    workorder.promised_at = promised_at
    workorder.save(update_fields=["promised_at"])
    return before


def _waiting(workorder: WorkOrder) -> PromiseCheck | None:
    return PromiseCheck.objects.filter(workorder=workorder, settled_at=None).first()


def _settle(act: Act, workorder: WorkOrder, outcome: str) -> bool:
    """Close the doubt about this promise; whether there was one."""
    check = _waiting(workorder)
    if check is None:
        return False
    check.outcome, check.settled_by, check.settled_at = outcome, act.tap.by, act.now
    check.save(update_fields=["outcome", "settled_by", "settled_at"])
    return True
