"""What the customer agrees to: the drop-off, and what came to light later."""

from __future__ import annotations

from typing import Any

from jobs.condition.agreement_queries import to_agree
from jobs.condition.signature import read_strokes, signature_problem, signature_svg
from jobs.models import Agreement, Mark, WorkOrder
from shopapp.frame import Act, Refused, action
from shopapp.media import keep_bytes
from shopapp.models import StoredFile
from shopapp.say import say

Agreed = WorkOrder.Agreed
WHO = {
    Agreed.SIGNATURE: say("Write who signed."),
    Agreed.PHONE: say("Write whom you spoke with."),
    Agreed.PERSON: say("Write who agreed."),
}
"""Ways of agreeing that need a name, and what is asked where it is missing."""


@action("workorder.agree")
def agree_walk_round(
    act: Act,
    *,
    workorder_pk: int,
    how: str,
    mark_pks: list[int] | None = None,
    name: str = "",
    strokes: str = "",
) -> None:
    """Keep that the customer agreed at drop-off, to what, how, and who said so.

    mark_pks   the marks that were shown, where they were: none may be missing
    name       who signed, or was spoken with
    strokes    what was drawn, where it was signed
    """
    workorder = act.lock(WorkOrder, workorder_pk)
    check_how(workorder, how=how)
    if workorder.walk_round_agreed:
        raise Refused(say("The walk-round is agreed already."))
    check_who(how=how, name=name)
    drawing = signature_of(strokes) if how == Agreed.SIGNATURE else None
    marks = workorder.marks.filter(when=Mark.When.INTAKE)
    if mark_pks is not None and marks.exclude(pk__in=mark_pks).exists():
        raise Refused(say("A mark was added since you looked. Look again."))
    shown = to_agree(workorder).to_json()
    marks.filter(approved_at=None).update(approved_how=how, approved_at=act.now)
    workorder.walk_round_agreed = how
    workorder.walk_round_agreed_at = act.now
    workorder.save(update_fields=["walk_round_agreed", "walk_round_agreed_at"])
    kept = _keep(act, workorder, Agreement.About.DROP_OFF, how, name, drawing, shown)
    act.event(workorder, "walk_round_agreed", how=how, agreement=kept)


@action("mark.approve")
def approve_marks(
    act: Act, *, workorder_pk: int, mark_pks: list[int], how: str, name: str = ""
) -> None:
    """Keep that the customer approved these marks, and how.

    mark_pks  the marks that were shown: one found since then waits for its own yes
    name      who was spoken with
    """
    workorder = act.lock(WorkOrder, workorder_pk)
    check_how(workorder, how=how)
    if how == Agreed.SIGNATURE:
        raise Refused(say("A car is signed for once. Write who agreed."), field="how")
    check_who(how=how, name=name)
    waiting = Mark.objects.filter(
        workorder=workorder, pk__in=mark_pks, approved_at__isnull=True
    )
    approved = sorted(waiting.values_list("pk", flat=True))
    if not approved:
        raise Refused(say("These marks are approved already."))
    waiting.update(approved_how=how, approved_at=act.now)
    shown = {"marks": approved}
    kept = _keep(act, workorder, Agreement.About.MARKS, how, name, None, shown)
    act.event(workorder, "marks_approved", marks=approved, how=how, agreement=kept)


@action("mark.decline")
def decline_marks(
    act: Act, *, workorder_pk: int, mark_pks: list[int], because: str = ""
) -> None:
    """Keep that the customer said no to film over these marks; the desk calls.

    The mark goes on waiting: only a yes, by phone or in person, ends that.

    because  in the customer's own words, where there are some
    """
    workorder = act.lock(WorkOrder, workorder_pk)
    if workorder.is_closed:
        raise Refused(say("This order is closed."))
    asked = Mark.objects.filter(
        workorder=workorder,
        pk__in=mark_pks,
        approved_at__isnull=True,
        declined_at__isnull=True,
    )
    declined = sorted(asked.values_list("pk", flat=True))
    if not declined:
        raise Refused(say("You have answered this already. We will call you."))
    because = " ".join(because.split())
    asked.update(declined_at=act.now, declined_because=because)
    act.event(workorder, "marks_declined", marks=declined, because=because)


def _keep(
    act: Act,
    workorder: WorkOrder,
    about: Agreement.About,
    how: str,
    name: str,
    drawing: StoredFile | None,
    shown: dict[str, Any],
) -> Agreement:
    return Agreement.objects.create(
        workorder=workorder,
        about=about,
        how=how,
        name=name.strip(),
        signature=drawing,
        shown=shown,
        by=act.tap.by,
        at=act.now,
    )


def check_how(workorder: WorkOrder, *, how: str) -> None:
    """Refuse an agreement on a closed order, or by an account there is none of."""
    if workorder.is_closed:
        raise Refused(say("This order is closed."))
    if how not in Agreed.values:
        raise Refused(say("Say how the customer agreed."), field="how")
    if how == Agreed.ACCOUNT and not workorder.customer.is_account:
        raise Refused(say("This is not an account customer."), field="how")


def check_who(*, how: str, name: str) -> None:
    """Refuse a yes without a name where one is asked."""
    if how in WHO and not name.strip():
        raise Refused(WHO[Agreed(how)], field="name")


def signature_of(strokes: str) -> StoredFile:
    """The signature as a drawing, kept by its hash; an empty field is refused."""
    drawn = read_strokes(strokes)
    if problem := signature_problem(drawn):
        raise Refused(problem, field="strokes")
    return keep_bytes(signature_svg(drawn or ()).encode(), "image/svg+xml")
