"""Checklists of an order with their answers."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from jobs.marks import ChecklistItem, ItemKind
from jobs.models import ChecklistAnswer, OrderChecklist, WorkOrder


@dataclass(frozen=True, kw_only=True)
class ItemLine:
    """An item of a checklist and its answer, if any."""

    item: ChecklistItem
    answer: ChecklistAnswer | None


@dataclass(frozen=True, kw_only=True)
class OrderList:
    """A checklist of an order, item by item."""

    row: OrderChecklist
    lines: tuple[ItemLine, ...]

    @property
    def open_count(self) -> int:
        """Required items without an answer."""
        return sum(line.item.is_required and line.answer is None for line in self.lines)


def item_from(stored: dict[str, Any]) -> ChecklistItem:
    """An item as a checklist version keeps it."""
    return ChecklistItem(**(stored | {"kind": ItemKind(stored["kind"])}))


def item_to(item: ChecklistItem) -> dict[str, Any]:
    """An item as a checklist version keeps it."""
    fields = ChecklistItem.__dataclass_fields__
    return {name: getattr(item, name) for name in fields} | {"kind": item.kind.value}


def item_of(order_list: OrderChecklist, code: str) -> ChecklistItem | None:
    """An item of the version that the order is worked by."""
    for stored in order_list.version.items:
        if stored["code"] == code:
            return item_from(stored)
    return None


def order_lists(workorder: WorkOrder) -> list[OrderList]:
    """The order's checklists, newest first, with their answers."""
    rows = (
        workorder.checklists.select_related("version__checklist")
        .prefetch_related("answers__by", "answers__photo")
        .order_by("-pk")
    )
    return [_list(row) for row in rows]


def _list(row: OrderChecklist) -> OrderList:
    answers = {answer.item: answer for answer in row.answers.all()}
    return OrderList(
        row=row,
        lines=tuple(
            ItemLine(item=item_from(stored), answer=answers.get(stored["code"]))
            for stored in row.version.items
        ),
    )
