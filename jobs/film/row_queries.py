"""Stock and movements as rows of a list, for the CSV that is given out."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from decimal import Decimal

from jobs.film.lists import OFFCUT, ROLL
from jobs.models import Film, FilmMovement, OffCut, Roll
from shopapp.models import the_shop

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
Columns = Sequence[str]
Rows = Sequence[Cells]


def stock_rows() -> list[Cells]:
    """Rolls that are not empty, then off-cuts that are there, by `STOCK_COLUMNS`."""
    rolls = Roll.objects.filter(retired_at=None).select_related("film")
    offcuts = OffCut.objects.filter(used_at=None, scrapped_at=None)
    zone = the_shop().zone
    return [
        *(
            (
                ROLL,
                roll.code,
                roll.film.code,
                roll.lot,
                roll.width_mm,
                _metres(roll.left_mm),
                roll.cost_per_m,
                roll.location,
                roll.received_on,
            )
            for roll in rolls
        ),
        *(
            (
                OFFCUT,
                offcut.code,
                offcut.film.code,
                offcut.roll.lot,
                offcut.width_mm,
                _metres(offcut.length_mm),
                None,
                offcut.location,
                offcut.kept_at.astimezone(zone).date(),
            )
            for offcut in offcuts.select_related("film", "roll")
        ),
    ]


def film_rows() -> list[Cells]:
    """Kinds of film by `FILM_COLUMNS`."""
    return [
        (
            film.code,
            film.name,
            film.thickness_um,
            film.finish,
            _yes(film.is_directional),
            film.cost_per_m2,
            film.price_factor,
            _metres(film.reorder_below_mm),
            film.panel_min_c,
            film.panel_max_c,
            film.air_min_c,
            film.air_max_c,
            film.rh_max_pct,
            film.cure_h,
            film.wash_after_days,
            _yes(film.in_use),
        )
        for film in Film.objects.all()
    ]


def without_cost(columns: Columns, rows: Rows) -> tuple[Columns, Rows]:
    """The same list without the columns that say what film costs."""
    seen = [at for at, name in enumerate(columns) if not name.startswith("cost_")]
    return [columns[at] for at in seen], [tuple(row[at] for at in seen) for row in rows]


def _metres(length_mm: int) -> Decimal:
    return Decimal(length_mm) / 1000


def _yes(fact: bool) -> str:
    return "yes" if fact else "no"


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
