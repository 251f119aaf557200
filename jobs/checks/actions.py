"""Checklists, marks on the paint, added work done."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from jobs import limits
from jobs.checks.photo_actions import change_photos
from jobs.checks.queries import item_of
from jobs.condition.marks import ChecklistItem, ItemKind, mark_kinds, number_problem
from jobs.condition.reading_actions import known_panel, lock_open
from jobs.condition.water_check import ANSWERS, is_fact
from jobs.models import (
    ChecklistAnswer,
    Mark,
    OrderChecklist,
    WorkOrder,
)
from jobs.stages.table import May
from shopapp.frame import Act, Refused, action
from shopapp.models import StoredFile
from shopapp.say import say


@action("checklist.answer", within=limits.ANSWER)
def answer_item(
    act: Act,
    *,
    workorder_pk: int,
    order_checklist_pk: int,
    item: str,
    ticked: bool | None = None,
    number: float | None = None,
    text: str = "",
    photo: StoredFile | None = None,
    photos: list[StoredFile] | None = None,
    take_away: int | None = None,
) -> None:
    """Answer one item of a checklist; an empty answer takes the last one back.

    photos     added to those that the item has; `photo` is one of them
    take_away  one photo of the item that goes
    """
    workorder = lock_open(act, workorder_pk)
    order_list, known = _item(workorder, order_checklist_pk, item)
    if known.kind is ItemKind.PHOTO:
        added = [*(photos or []), *([photo] if photo else [])]
        change_photos(act, workorder, order_list, item, added, take_away=take_away)
        return
    value = _checked(known, ticked=ticked, number=number, text=text)
    if value is None:
        order_list.answers.filter(item=item).delete()
    else:
        # The order is locked: nobody else answers for it meanwhile.
        last = order_list.answers.filter(item=item).only("pk").first()
        answer = ChecklistAnswer(
            pk=last.pk if last else None,
            order_checklist=order_list,
            item=item,
            by=act.by,
            at=act.now,
            **value,
        )
        answer.save(force_insert=last is None, force_update=last is not None)
    act.event(
        workorder,
        "checked" if value else "unchecked",
        item=item,
        checklist=order_list.version,
        answer=value,
    )


def _item(
    workorder: WorkOrder, order_checklist_pk: int, code: str
) -> tuple[OrderChecklist, ChecklistItem]:
    """A checklist of this order and an item on it, or a refusal."""
    lists = OrderChecklist.objects.select_related("version")
    order_list = lists.filter(workorder=workorder, pk=order_checklist_pk).first()
    if order_list is None:
        raise Refused(say("This checklist is not on this order."))
    known = item_of(order_list, code)
    if known is None:
        raise Refused(say("This item is not on the checklist."))
    return order_list, known


def _checked(
    item: ChecklistItem,
    *,
    ticked: bool | None,
    number: float | None,
    text: str,
) -> dict[str, Any] | None:
    """The answer in the item's own kind, or None for an empty one."""
    if item.kind is ItemKind.TICK:
        return {"ticked": True} if ticked else None
    if item.kind is ItemKind.NUMBER:
        if number is None:
            return None
        asked = replace(item, low=0.0) if is_fact(item) else item
        if problem := number_problem(asked, value=number):
            raise Refused(problem, field="number")
        return {"number": number}
    if item.kind is ItemKind.WATER:
        if text and text not in ANSWERS:
            raise Refused(say("Choose sheets, patches or beads."), field="text")
        return {"text": text} if text else None
    return {"text": text.strip()} if text.strip() else None


@action("mark.add", within=limits.MARK)
def add_mark(
    act: Act,
    *,
    workorder_pk: int,
    panel: str,
    kind: str,
    severity: int = 1,
    size_mm: int | None = None,
    note: str = "",
    photo: StoredFile | None = None,
) -> dict[str, Any]:
    """Write down a mark on the paint: at intake, or after the wash."""
    workorder = lock_open(act, workorder_pk)
    known_panel(workorder, panel)
    if kind not in mark_kinds():
        raise Refused(say("Choose what is seen."), field="kind")
    at_intake = workorder.stage_now.may(May.WALK_ROUND)
    mark = Mark.objects.create(
        workorder=workorder,
        when=Mark.When.INTAKE if at_intake else Mark.When.AFTER_WASH,
        panel=panel,
        kind=kind,
        severity=severity,
        size_mm=size_mm,
        note=note.strip(),
        photo=photo,
        seen_by=act.by,
        seen_at=act.now,
    )
    act.event(workorder, "mark", mark=mark, panel=panel, kind=kind, when=mark.when)
    return {"pk": mark.pk}


@action("addedwork.done")
def finish_work(act: Act, *, workorder_pk: int, work_pk: int) -> None:
    """Say that added work is done."""
    workorder = lock_open(act, workorder_pk)
    row = workorder.added_work.filter(pk=work_pk).first()
    if row is None:
        raise Refused(say("This work is not on this order."))
    if row.done_at:
        raise Refused(say("This work is done already."))
    row.done_at = act.now
    row.done_by = act.by
    row.save(update_fields=["done_at", "done_by"])
    act.event(workorder, "work_done", work=row)
