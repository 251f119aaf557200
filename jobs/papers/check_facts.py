"""Checklists and sign-offs as they stand on the work order's paper."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from jobs.checks.queries import ItemLine, OrderList, items_of, order_lists
from jobs.condition.marks import ItemKind
from jobs.models import ChecklistVersion, WorkOrder, WorkOrderEvent
from jobs.papers.record_facts import AgreedFacts, agreed_facts, left_open
from jobs.stages.table import LEAVES_FROM, May, Stage, stages_before


@dataclass(frozen=True, kw_only=True)
class CheckLine:
    """One item: what to do, its limits, and its answer if there is one."""

    text: str
    kind: str
    is_required: bool
    unit: str
    low: float | None
    high: float | None
    is_done: bool
    answer: str


@dataclass(frozen=True, kw_only=True)
class CheckFacts:
    """A checklist in the version that this order is worked by.

    open_then  required items that were open when the car moved on
    """

    name: str
    stage: str
    version: int
    round: int
    lines: tuple[CheckLine, ...]
    open_then: int = 0


@dataclass(frozen=True, kw_only=True)
class SignOff:
    """A stage, and who led the car out of it."""

    stage: str
    by: str
    done_at: datetime | None
    open: str = ""


@dataclass(frozen=True, kw_only=True)
class EarlierList:
    """A list of an earlier round, in one line."""

    name: str
    round: int
    done: int
    items: int


ONCE = tuple(stage.row.checklist for stage in stages_before(May.LAY))
"""Lists of stages that a redo does not go through again: their ticks stand."""


def checklist_facts(order: WorkOrder) -> tuple[CheckFacts, ...]:
    """The lists of this round, answered so far; those to come stand empty."""
    given = _lists_of_round(order)
    here = list(Stage).index(order.stage_now)
    found = []
    for stage in Stage:
        code = stage.row.checklist
        if code in given:
            is_left = list(Stage).index(stage) < here
            found.append(_given(given[code], stage=stage, is_left=is_left))
        elif version := _to_come(code):
            found.append(_empty(version, stage=stage, round=order.round))
    return tuple(found)


def _lists_of_round(order: WorkOrder) -> dict[str, OrderList]:
    """The list that counts for each stage, oldest first so that the newest wins."""
    lists = sorted(order_lists(order), key=lambda each: each.row.pk)
    return {
        each.row.version.checklist.code: each
        for each in lists
        if each.row.round == order.round or each.row.version.checklist.code in ONCE
    }


def earlier_lists(order: WorkOrder) -> tuple[EarlierList, ...]:
    """What earlier rounds ticked: one line a list."""
    counted = {each.row.pk for each in _lists_of_round(order).values()}
    return tuple(
        EarlierList(
            name=each.row.version.checklist.name,
            round=each.row.round,
            done=each.answered,
            items=len(each.lines),
        )
        for each in sorted(order_lists(order), key=lambda each: each.row.pk)
        if each.row.pk not in counted
    )


def _to_come(code: str) -> ChecklistVersion | None:
    return (
        ChecklistVersion.objects.filter(checklist__code=code, checklist__in_use=True)
        .select_related("checklist")
        .first()
    )


def _given(order_list: OrderList, *, stage: Stage, is_left: bool) -> CheckFacts:
    return CheckFacts(
        name=order_list.row.version.checklist.name,
        stage=stage.value,
        version=order_list.row.version.number,
        round=order_list.row.round,
        lines=tuple(_line(line) for line in order_list.lines),
        open_then=order_list.open_count if is_left else 0,
    )


def _empty(version: ChecklistVersion, *, stage: Stage, round: int) -> CheckFacts:
    items = items_of(version)
    return CheckFacts(
        name=version.checklist.name,
        stage=stage.value,
        version=version.number,
        round=round,
        lines=tuple(_line(ItemLine(item=item, answer=None)) for item in items),
    )


def _line(line: ItemLine) -> CheckLine:
    item, answer = line.item, line.answer
    said = ""
    if answer is not None:
        said = answer.text or ("" if answer.number is None else f"{answer.number:g}")
        if item.kind is ItemKind.PHOTO:
            said = _photos_kept(line)
        if line.verdict is not None:
            said = f"{said}: {line.verdict.sentence}"
    return CheckLine(
        text=item.text,
        kind=item.kind.value,
        is_required=item.is_required,
        unit=item.unit,
        low=item.low,
        high=item.high,
        is_done=line.is_done and answer is not None and answer.ticked is not False,
        answer=said,
    )


def _photos_kept(line: ItemLine) -> str:
    if line.wanted > 1:
        kept = len(line.photos)
        return (
            f"{kept} photos"
            if kept > line.wanted
            else f"{kept} of {line.wanted} photos"
        )
    return "photo kept" if len(line.photos) == 1 else f"{len(line.photos)} photos kept"


def sign_offs(order: WorkOrder) -> tuple[SignOff, ...]:
    """Who led the car out of each stage of this round, and when."""
    left: dict[str, WorkOrderEvent] = {}
    moves = WorkOrderEvent.objects.filter(
        workorder=order, what__in=["stage", "redo", "handed_over"]
    ).select_related("by")
    for move in moves.order_by("pk"):
        left[move.facts.get("came_from", LEAVES_FROM.value)] = move
    here = list(Stage).index(order.stage_now)
    lists = _lists_of_round(order)
    agreed = agreed_facts(order)
    found = []
    for at, stage in enumerate(stage for stage in Stage if not stage.is_closed):
        event = left.get(stage.value) if at < here else None
        found.append(
            SignOff(
                stage=stage.value,
                by=str(event.by or "") if event else "",
                done_at=event.done_at if event else None,
                open=_left_open(lists, stage, agreed) if at < here else "",
            )
        )
    return tuple(found)


def _left_open(lists: dict[str, OrderList], stage: Stage, agreed: AgreedFacts) -> str:
    order_list = lists.get(stage.row.checklist)
    return left_open(
        items=order_list.open_count if order_list else 0,
        agreed=agreed if stage.may(May.WALK_ROUND) else None,
    )
