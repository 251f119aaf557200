"""What the customer agrees to: the walk-round, and what the wash brought to light."""

from __future__ import annotations

from jobs.models import Mark, WorkOrder
from shopapp.frame import Act, Refused, action
from shopapp.say import say

Agreed = WorkOrder.Agreed


@action("workorder.agree")
def agree_walk_round(
    act: Act, *, workorder_pk: int, how: str, mark_pks: list[int] | None = None
) -> None:
    """Keep that the customer agreed to the marks at intake, and how.

    mark_pks  the marks that were shown, where they were: none may be missing
    """
    workorder = act.lock(WorkOrder, workorder_pk)
    check_how(workorder, how=how)
    if workorder.walk_round_agreed:
        raise Refused(say("The walk-round is agreed already."))
    marks = workorder.marks.filter(when=Mark.When.INTAKE)
    if mark_pks is not None and marks.exclude(pk__in=mark_pks).exists():
        raise Refused(say("A mark was added since you looked. Look again."))
    marks.filter(approved_at=None).update(approved_how=how, approved_at=act.now)
    workorder.walk_round_agreed = how
    workorder.walk_round_agreed_at = act.now
    workorder.save(update_fields=["walk_round_agreed", "walk_round_agreed_at"])
    act.event(workorder, "walk_round_agreed", how=how)


@action("mark.approve")
def approve_marks(
    act: Act, *, workorder_pk: int, mark_pks: list[int], how: str
) -> None:
    """Keep that the customer approved these marks, and how.

    mark_pks  the marks that were shown: one found since then waits for its own yes
    """
    workorder = act.lock(WorkOrder, workorder_pk)
    check_how(workorder, how=how)
    waiting = Mark.objects.filter(
        workorder=workorder, pk__in=mark_pks, approved_at__isnull=True
    )
    approved = sorted(waiting.values_list("pk", flat=True))
    if not approved:
        raise Refused(say("These marks are approved already."))
    waiting.update(approved_how=how, approved_at=act.now)
    act.event(workorder, "marks_approved", marks=approved, how=how)


def check_how(workorder: WorkOrder, *, how: str) -> None:
    """Refuse an agreement on a closed order, or by an account there is none of."""
    if workorder.is_closed:
        raise Refused(say("This order is closed."))
    if how not in Agreed.values:
        raise Refused(say("Say how the customer agreed."), field="how")
    if how == Agreed.ACCOUNT and not workorder.customer.is_account:
        raise Refused(say("This is not an account customer."), field="how")
