"""Stock and movements as rows of a list, for the CSV that is given out."""

from __future__ import annotations

from collections.abc import Iterable

from jobs.models import FilmMovement, OffCut, Roll

STOCK_COLUMNS = (
    "what",
    "code",
    "film",
    "lot",
    "width_mm",
    "length_mm",
    "cost_per_m",
    "location",
    "received_on",
)
MOVEMENT_COLUMNS = (
    "at",
    "what",
    "film",
    "roll",
    "offcut",
    "change_mm",
    "order",
    "reason",
    "by",
)
Cells = tuple[object, ...]


def stock_rows() -> list[Cells]:
    """Rolls that are not empty, then off-cuts that are there."""
    rolls = Roll.objects.filter(retired_at=None).select_related("film")
    offcuts = OffCut.objects.filter(used_at=None, scrapped_at=None)
    return [
        *(
            (
                "roll",
                roll.code,
                roll.film.code,
                roll.lot,
                roll.width_mm,
                roll.left_mm,
                roll.cost_per_m,
                roll.location,
                roll.received_on,
            )
            for roll in rolls
        ),
        *(
            (
                "off-cut",
                offcut.code,
                offcut.film.code,
                offcut.roll.lot,
                offcut.width_mm,
                offcut.length_mm,
                None,
                offcut.location,
                offcut.kept_at.date(),
            )
            for offcut in offcuts.select_related("film", "roll")
        ),
    ]


def movement_rows(movements: Iterable[FilmMovement]) -> list[Cells]:
    """Movements in their own order, oldest last."""
    return [
        (
            movement.at.isoformat(timespec="seconds"),
            movement.get_what_display(),
            movement.roll.film.code,
            movement.roll.code,
            movement.offcut.code if movement.offcut else None,
            movement.change_mm,
            movement.workorder.number if movement.workorder else None,
            movement.reason,
            movement.by.username if movement.by else None,
        )
        for movement in movements
    ]
