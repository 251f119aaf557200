"""Checklists of an order with their answers."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from jobs.as_kept import known_fields, word
from jobs.condition.marks import ChecklistItem, ItemKind, photos_wanted
from jobs.condition.water_check import Verdict, right_way_up, verdict
from jobs.models import (
    Checklist,
    ChecklistAnswer,
    ChecklistPhoto,
    ChecklistVersion,
    OrderChecklist,
    WorkOrder,
)
from shopapp.documents import Document

CHECKLIST_ITEM = Document(kind="checklist item")


@dataclass(kw_only=True)
class ItemLine:
    """An item of a checklist, its answer if any, and the form that a page adds."""

    item: ChecklistItem
    answer: ChecklistAnswer | None
    form: Any = None
    photos: list[ChecklistPhoto] = field(default_factory=list)

    @property
    def wanted(self) -> int:
        """Photos that it takes; 0 for an item that takes none."""
        is_photo = self.item.kind is ItemKind.PHOTO
        return photos_wanted(self.item.code) if is_photo else 0

    @property
    def is_done(self) -> bool:
        """Whether it is answered, with all its photos where it takes some."""
        if self.answer is None:
            return False
        return len(self.photos) >= self.wanted

    @property
    def verdict(self) -> Verdict | None:
        """What the answer of a water check means."""
        if self.answer is None:
            return None
        return verdict(self.item, text=self.answer.text, number=self.answer.number)


@dataclass(frozen=True, kw_only=True)
class OrderList:
    """A checklist of an order, item by item."""

    row: OrderChecklist
    lines: tuple[ItemLine, ...]
    is_current: bool = True

    @property
    def answered(self) -> int:
        """Items with an answer."""
        return sum(line.is_done for line in self.lines)

    @property
    def open_count(self) -> int:
        """Required items without an answer."""
        return sum(line.item.is_required and not line.is_done for line in self.lines)


def item_from(stored: dict[str, Any]) -> ChecklistItem:
    """An item as a checklist version keeps it."""
    stored = CHECKLIST_ITEM.upgrade(stored)
    # What is of no kind any more is shown with what was written to it.
    kind = word(ItemKind, stored["kind"], usual=ItemKind.TEXT)
    known = known_fields(ChecklistItem, stored) | {"kind": kind}
    return right_way_up(ChecklistItem(**known))


def item_to(item: ChecklistItem) -> dict[str, Any]:
    """An item as a checklist version keeps it."""
    fields = ChecklistItem.__dataclass_fields__
    known = {name: getattr(item, name) for name in fields}
    return CHECKLIST_ITEM.stamp(known | {"kind": item.kind.value})


def item_of(order_list: OrderChecklist, code: str) -> ChecklistItem | None:
    """An item of the version that the order is worked by."""
    items = items_of(order_list.version)
    return next((item for item in items if item.code == code), None)


def items_of(version: ChecklistVersion) -> list[ChecklistItem]:
    """The items of a version, in order."""
    return [item_from(stored) for stored in version.items]


def order_lists(workorder: WorkOrder) -> list[OrderList]:
    """The order's checklists with their answers: this stage's, then the newest."""
    rows = (
        workorder.checklists.select_related("version__checklist")
        .prefetch_related("answers__by", "photos__photo", "photos__by")
        .order_by("-pk")
    )
    now = workorder.stage_now.row.checklist
    lists = [_list(row, now=now, round_now=workorder.round) for row in rows]
    return sorted(lists, key=lambda each: not each.is_current)


def _list(row: OrderChecklist, *, now: str, round_now: int) -> OrderList:
    answers = {answer.item: answer for answer in row.answers.all()}
    is_now = row.version.checklist.code == now and row.round == round_now
    return OrderList(
        row=row,
        is_current=is_now,
        lines=tuple(
            ItemLine(
                item=item,
                answer=answers.get(item.code),
                photos=[p for p in row.photos.all() if p.item == item.code],
            )
            for item in items_of(row.version)
        ),
    )


def newest_version(checklist: Checklist) -> int:
    """The number of the version that new orders get; 0 before the first."""
    newest = checklist.versions.first()
    return newest.number if newest else 0


def version_items(checklist: Checklist, number: int) -> list[ChecklistItem]:
    """The items of one version of a checklist."""
    version = checklist.versions.filter(number=number).first()
    return items_of(version) if version else []
