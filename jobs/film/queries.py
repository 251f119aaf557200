"""What the film pages read: stock by film, a film, a roll, an off-cut."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from django.db.models import Exists, OuterRef, Prefetch, QuerySet, Sum

from jobs.film.held_queries import held_film
from jobs.film.money import cost_per_m, film_cost
from jobs.film.stock import film_low, free_m, held_beyond, yield_pct
from jobs.models import (
    Film,
    FilmMovement,
    FilmOrder,
    OffCut,
    Pull,
    Roll,
    WorkOrder,
)
from jobs.pulls.stored import CUT_PLAN, blanks_of, off_rolls
from shopapp.figures import Figure, given
from shopapp.say import Say

ZERO = Decimal(0)
RECENT_PULLS, RECENT_MOVEMENTS = 30, 60


@dataclass(frozen=True, kw_only=True)
class FilmStock:
    """A film with all that is there, held and coming. Lengths in mm."""

    film: Film
    rolls: Sequence[Roll]
    offcuts: Sequence[OffCut]
    orders: Sequence[FilmOrder]
    on_rolls_mm: int
    held_mm: int
    ordered_mm: int
    free: Figure
    sentence: Say | None
    value: Decimal | None


def film_stock() -> list[FilmStock]:
    """Every film in use, or of which something is left. Six queries, however many."""
    films = Film.objects.prefetch_related(
        Prefetch("rolls", Roll.objects.filter(retired_at=None), to_attr="there"),
        Prefetch(
            "offcuts",
            OffCut.objects.filter(used_at=None, scrapped_at=None),
            to_attr="kept",
        ),
        Prefetch("orders", open_orders(), to_attr="coming"),
    )
    held = dict(
        held_film().order_by().values_list("film").annotate(mm=Sum("length_mm"))
    )
    found = [_stock(film, held.get(film.pk, 0)) for film in films]
    return [stock for stock in found if stock.film.in_use or stock.rolls]


def open_orders() -> QuerySet[FilmOrder]:
    """Film that is still to come."""
    return FilmOrder.objects.filter(roll=None, called_off_at=None)


def _stock(film: Film, held_mm: int) -> FilmStock:
    rolls: list[Roll] = film.there  # type: ignore[attr-defined]
    orders: list[FilmOrder] = film.coming  # type: ignore[attr-defined]
    on_rolls = sum(roll.left_mm for roll in rolls)
    ordered = sum(order.length_mm for order in orders)
    free = free_m(on_rolls_mm=on_rolls, held_mm=held_mm)
    beyond = held_beyond(
        film=film.name,
        on_rolls=given(on_rolls / 1000, "m", "on rolls"),
        held=given(held_mm / 1000, "m", "held by bookings"),
    )
    low = film_low(
        film=film.name,
        free=free,
        ordered_mm=ordered,
        reorder_below_mm=film.reorder_below_mm,
    )
    return FilmStock(
        film=film,
        rolls=rolls,
        offcuts=film.kept,  # type: ignore[attr-defined]
        orders=orders,
        on_rolls_mm=on_rolls,
        held_mm=held_mm,
        ordered_mm=ordered,
        free=free,
        sentence=beyond or low,
        value=_value(film, rolls),
    )


def _value(film: Film, rolls: Sequence[Roll]) -> Decimal | None:
    total = ZERO
    for roll in rolls:
        per_m = cost_per_m(
            roll_cost_per_m=roll.cost_per_m,
            film_cost_per_m2=film.cost_per_m2,
            width_mm=roll.width_mm,
        )
        if per_m is None:
            return None
        total += film_cost(length_mm=roll.left_mm, per_m=per_m)
    return total


def film_yield(film: Film) -> Figure | None:
    """How much of the film taken lately was cut into panels."""
    # Asked so, a store reads the newest pulls until it has enough, not all of a film.
    pulls = Pull.objects.filter(
        Exists(WorkOrder.objects.filter(pk=OuterRef("workorder"), film=film)),
        state=Pull.State.TAKEN,
        taken_mm__gt=0,
        cut_plan__isnull=False,
    ).order_by("-taken_at")
    blanks_mm2 = taken_mm2 = 0
    for order, cut, taken_mm, facts in pulls.values_list(
        "workorder__number", "cut_panels", "taken_mm", "cut_plan__facts"
    )[:RECENT_PULLS]:
        plan = CUT_PLAN.upgrade(facts)
        blanks_mm2 += blanks_of(plan, order=order, panels=cut)
        # The plan's rolls have one width in all but rare cases; the mean serves.
        length_mm, area_mm2 = off_rolls(plan)
        taken_mm2 += area_mm2 * (taken_mm or 0) // max(1, length_mm)
    if not taken_mm2:
        return None
    return yield_pct(blanks_m2=blanks_mm2 / 1e6, taken_m2=taken_mm2 / 1e6)


def movements_of(film: Film | None = None) -> QuerySet[FilmMovement]:
    """Movements with all that a line shows, the newest first."""
    found = FilmMovement.objects.select_related(
        "roll__film", "offcut", "workorder", "by"
    ).order_by("-pk")
    if film is None:
        return found
    # As above: from the newest on, until the page is full.
    return found.filter(Exists(Roll.objects.filter(pk=OuterRef("roll"), film=film)))
