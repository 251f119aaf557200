"""The panels of a car as they were read: which is the hottest to be laid next."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from django.db.models import prefetch_related_objects

from jobs.coverage.catalogue import Body, panel_name
from jobs.models import WorkOrder
from jobs.stages.queries import last_reading
from mixing.sheet import Conditions
from mixing.sheet.input_queries import conditions_of
from shopapp.models import shop_date


def panels_read(workorder: WorkOrder) -> Mapping[str, float]:
    """Panels still to lay that the newest readings name, °C by panel.

    A named reading holds for its panel on its day, until the panel is laid or read
    again, or a reading of the car as a whole comes after it.
    """
    ties = list(workorder.order_readings.all())
    prefetch_related_objects(ties, "reading")
    ties.sort(key=lambda tie: (tie.reading.taken_at, tie.pk), reverse=True)
    if not ties or not ties[0].panel:
        return {}
    waiting = {code for code, _ in readable_panels(workorder)}
    today = shop_date(ties[0].reading.taken_at)
    found: dict[str, float] = {}
    for tie in ties:
        if not tie.panel or shop_date(tie.reading.taken_at) != today:
            break
        if tie.panel in waiting and tie.reading.panel_c is not None:
            found.setdefault(tie.panel, tie.reading.panel_c)
    return found


def readable_panels(workorder: WorkOrder) -> list[tuple[str, str]]:
    """Code and name of the panels that a reading may name: those still to lay."""
    body = Body(workorder.vehicle.body)
    return [
        (row.panel, panel_name(row.panel, body=body))
        for row in workorder.panels.all()
        if row.struck_off_at is None
        and (row.laid_at is None or row.laid_round != workorder.round)
    ]


def named_readings(workorder: WorkOrder) -> list[tuple[str, float]]:
    """Name and °C of the panels still to lay that were read, the hottest first."""
    read, body = panels_read(workorder), Body(workorder.vehicle.body)
    rows = [(panel_name(code, body=body), panel_c) for code, panel_c in read.items()]
    return sorted(rows, key=lambda row: -row[1])


def conditions_now(workorder: WorkOrder) -> Conditions:
    """The newest reading; of several panels the hottest, since one mix serves all."""
    conditions = conditions_of(last_reading(workorder))
    read = panels_read(workorder)
    return replace(conditions, panel_c=max(read.values())) if read else conditions
