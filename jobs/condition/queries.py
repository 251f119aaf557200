"""Marks on the paint and its thickness, as the checks page shows them."""

from __future__ import annotations

from dataclasses import dataclass

from jobs.condition.marks import (
    FILMING,
    MarkKind,
    PaintLimits,
    Severity,
    asks_consent,
    mark_kinds,
    neighbours,
    neighbours_flag,
    paint_flags,
)
from jobs.coverage.catalogue import Body, panel_name, panels
from jobs.models import Mark, PaintReading, WorkOrder
from shopapp.say import Say

LIMITS = PaintLimits()

SEVERITIES = {
    Severity.SLIGHT: "slight",
    Severity.PLAIN: "plain",
    Severity.SEVERE: "severe",
}


@dataclass(frozen=True, kw_only=True)
class MarkLine:
    """A mark in words, with what it means for the film."""

    row: Mark
    panel: str
    kind: MarkKind
    severity: str
    filming: Say | None
    waits_for_approval: bool = False


@dataclass(frozen=True, kw_only=True)
class PaintLine:
    """A covered metal panel with its newest reading and what is worth a second look."""

    panel: str
    name: str
    reading: PaintReading | None
    flags: tuple[Say, ...]


def mark_lines(workorder: WorkOrder) -> list[MarkLine]:
    """The order's marks, newest first."""
    body = Body(workorder.vehicle.body)
    rows = workorder.marks.select_related("photo", "seen_by").order_by("-pk")
    return [
        MarkLine(
            row=row,
            panel=panel_name(row.panel, body=body),
            kind=mark_kinds()[row.kind],
            severity=SEVERITIES[Severity(row.severity)],
            filming=FILMING[mark_kinds()[row.kind].film],
            waits_for_approval=is_waiting(workorder, row),
        )
        for row in rows
    ]


def paint_lines(workorder: WorkOrder) -> list[PaintLine]:
    """Each covered metal panel, with flags against the car and its neighbours."""
    body = Body(workorder.vehicle.body)
    newest = {
        row.panel: row for row in workorder.paint_readings.select_related("by").all()
    }
    um = {
        code: row.thickness_um
        for code, row in newest.items()
        if row.thickness_um is not None
    }
    covered = workorder.panels.filter(struck_off_at=None)
    return [
        PaintLine(
            panel=code,
            name=panel_name(code, body=body),
            reading=newest.get(code),
            flags=_flags(code, um=um, body=body),
        )
        for code in covered.values_list("panel", flat=True)
        if panels()[code].is_gauged
    ]


def _flags(code: str, *, um: dict[str, float], body: Body) -> tuple[Say, ...]:
    if code not in um:
        return ()
    beside = [
        neighbours_flag(
            panel=panel_name(one, body=body),
            panel_um=um[one],
            beside=panel_name(other, body=body),
            beside_um=um[other],
            limits=LIMITS,
        )
        for one, other in neighbours(um)
        if one == code
    ]
    own = paint_flags(
        spot_um=um[code], vehicle_spots_um=list(um.values()), limits=LIMITS
    )
    return own + tuple(flag for flag in beside if flag)


def is_waiting(order: WorkOrder, mark: Mark) -> bool:
    """Whether the job waits for the customer's yes to this mark.

    Only what was found after the customer agreed, or after the wash, and only where
    film over such a mark asks consent.
    """
    later = mark.when == Mark.When.AFTER_WASH or bool(order.walk_round_agreed)
    return later and mark.approved_at is None and asks_consent(mark.kind)


def not_agreed(order: WorkOrder) -> list[Mark]:
    """Marks added to what was agreed since, whether or not they are asked about."""
    if not order.walk_round_agreed:
        return []
    return [
        mark
        for mark in order.marks.all()
        if mark.approved_at is None
        and (mark.when == Mark.When.INTAKE or asks_consent(mark.kind))
    ]
