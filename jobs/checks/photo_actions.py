"""The photos of a checklist's item: each one that is handed over is kept."""

from __future__ import annotations

from jobs.models import ChecklistAnswer, ChecklistPhoto, OrderChecklist, WorkOrder
from shopapp.frame import Act, Refused
from shopapp.models import StoredFile
from shopapp.say import say


def change_photos(
    act: Act,
    workorder: WorkOrder,
    order_list: OrderChecklist,
    item: str,
    added: list[StoredFile],
    *,
    take_away: int | None,
) -> None:
    """Add photos to an item, take one away, or all where nothing is named."""
    here = order_list.photos.filter(item=item)
    gone: list[int] = []
    if added:
        new = _add(act, order_list, item, added)
    else:
        new = []
        going = here if take_away is None else here.filter(pk=take_away)
        gone = list(going.values_list("photo_id", flat=True))
        if take_away is not None and not gone:
            raise Refused(say("This photo is not there any more."))
        going.delete()
    _answer(act, order_list, item)
    act.event(
        workorder,
        "checked" if new else "photo_taken_away" if here.exists() else "unchecked",
        item=item,
        checklist=order_list.version,
        photos=new or gone,
        count=here.count(),
    )


def _add(
    act: Act, order_list: OrderChecklist, item: str, added: list[StoredFile]
) -> list[StoredFile]:
    """Those that were not there: the same picture twice shows no second side."""
    known = set(order_list.photos.filter(item=item).values_list("photo_id", flat=True))
    new = {photo.pk: photo for photo in added if photo.pk not in known}
    if not new:
        raise Refused(say("This photo is kept already."), field="photo")
    for photo in new.values():
        ChecklistPhoto.objects.create(
            order_checklist=order_list, item=item, photo=photo, by=act.by, at=act.now
        )
    return list(new.values())


def _answer(act: Act, order_list: OrderChecklist, item: str) -> None:
    """The answer of an item with photos stands as long as there is one."""
    newest = order_list.photos.filter(item=item).last()
    if newest is None:
        order_list.answers.filter(item=item).delete()
        return
    ChecklistAnswer.objects.update_or_create(
        order_checklist=order_list,
        item=item,
        defaults={"photo": newest.photo, "by": act.by, "at": act.now},
    )
