"""The mixing sheet of an order: the one it was worked by, or as things stand."""

from __future__ import annotations

from datetime import datetime

from jobs.models import WorkOrder
from jobs.queries.mixing import panels_to_lay, sheet_request
from mixing.queries import newest_versions, sheet_of
from mixing.sheet import MixingSheet, mixing_sheet


def sheet_now(
    order: WorkOrder, *, at: datetime
) -> tuple[MixingSheet | None, int | None]:
    """The newest kept sheet with its version, else one as things stand; or nothing.

    Nothing where no panel is left to lay or no recipe is in use.
    """
    kept = order.sheets.first()
    if kept is not None:
        return sheet_of(kept.facts), kept.version
    if not panels_to_lay(order) or not newest_versions():
        return None, None
    return mixing_sheet(sheet_request(order, at=at)), None
