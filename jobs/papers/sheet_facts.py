"""The mixing sheet as a paper of its own."""

from __future__ import annotations

from datetime import datetime

from jobs.models import WorkOrder
from jobs.papers.facts import Json, shop_facts, to_json
from jobs.solutions.queries import sheet_before
from jobs.solutions.sheet_now_queries import sheet_now
from mixing.sheet.queries import facts_of


def mixing_sheet_facts(order: WorkOrder, *, at: datetime) -> Json:
    """The mixing sheet as a paper of its own; before a reading, with its strip."""
    sheet, version = sheet_now(order, at=at)
    return to_json(
        {
            "shop": shop_facts(),
            "order": order.number,
            "plate": order.vehicle.known_by,
            "vehicle": str(order.vehicle),
            "sheet": facts_of(sheet) if sheet else None,
            "sheet_version": version,
            "sheet_replaces": sheet_before(order, version) if version else None,
        }
    )
