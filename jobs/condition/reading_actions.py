"""Reading the bay and the panel, the paint, and the water."""

from __future__ import annotations

from typing import Any

from jobs.air.actions import keep_air
from jobs.condition.gauges import gauge_problem
from jobs.coverage.catalogue import Body, panels_on
from jobs.models import OrderReading, PaintReading, WorkOrder
from jobs.solutions.sheet_actions import keep_whole_sheet
from mixing.models import Reading
from shopapp.frame import Act, Refused, action
from shopapp.models import the_shop
from shopapp.say import say


@action("reading.take")
def take_reading(
    act: Act,
    *,
    workorder_pk: int,
    air_c: float,
    rh_pct: float,
    panel_c: float | None,
    panel: str = "",
) -> dict[str, Any]:
    """Keep air, humidity and panel temperature where the car stands.

    While panels are left to lay, the sheet that follows from it is kept with it.
    """
    workorder = lock_open(act, workorder_pk)
    if panel:
        known_panel(workorder, panel)
    in_range("air_c", air_c)
    in_range("rh_pct", rh_pct)
    in_range("panel_c", panel_c)
    reading = Reading.objects.create(
        bay=workorder.bay,
        place=workorder.place,
        air_c=air_c,
        rh_pct=rh_pct,
        panel_c=panel_c,
        taken_at=act.now,
        by=act.by,
    )
    OrderReading.objects.create(workorder=workorder, reading=reading, panel=panel)
    act.event(
        workorder,
        "reading",
        reading=reading,
        air_c=air_c,
        rh_pct=rh_pct,
        panel_c=panel_c,
        panel=panel,
    )
    keep_whole_sheet(act, workorder)
    keep_air(workorder, at=act.now)
    return {"pk": reading.pk}


@action("paint.read")
def read_paint(
    act: Act,
    *,
    workorder_pk: int,
    panel: str,
    thickness_um: float | None = None,
    not_measurable: str = "",
) -> dict[str, Any]:
    """Keep the paint thickness of a panel, or why it cannot be measured."""
    workorder = lock_open(act, workorder_pk)
    known_panel(workorder, panel)
    if thickness_um is None and not not_measurable.strip():
        raise Refused(
            say("Enter the thickness, or say why it cannot be measured."),
            field="thickness_um",
        )
    in_range("thickness_um", thickness_um)
    row = PaintReading.objects.create(
        workorder=workorder,
        panel=panel,
        thickness_um=thickness_um,
        not_measurable=not_measurable.strip(),
        by=act.by,
        at=act.now,
    )
    act.event(workorder, "paint_read", panel=panel, thickness_um=thickness_um)
    return {"pk": row.pk}


def in_range(name: str, value: float | None) -> None:
    """Refuse what the instrument cannot have read."""
    if value is None:
        return
    if problem := gauge_problem(name, value=value, system=the_shop().system):
        raise Refused(problem, field=name)


def lock_open(act: Act, workorder_pk: int) -> WorkOrder:
    """The order, locked; a closed one is refused."""
    workorder = act.lock(WorkOrder, workorder_pk)
    if workorder.is_closed:
        raise Refused(
            say("{order} is closed. Open a return visit.", order=workorder.number)
        )
    return workorder


def known_panel(workorder: WorkOrder, panel: str) -> None:
    """Refuse a panel that this body does not have."""
    body = Body(workorder.vehicle.body)
    if panel not in {known.code for known in panels_on(body)}:
        raise Refused(say("This car has no such panel."), field="panel")
