"""What the desk sees while it books: price, film, work, cost."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Any

from jobs.bookings.queries import chosen_panels
from jobs.coverage.catalogue import (
    Body,
    Package,
    PanelChoice,
    panel_name,
)
from jobs.coverage.measured import Car
from jobs.coverage.measured_queries import car_of
from jobs.cure.dates import Settling
from jobs.cure.queries import settling_of
from jobs.film.held_queries import still_to_cut
from jobs.film.need_queries import FilmNeed, film_need, shortage
from jobs.models import Booking, TaxRule
from jobs.money.queries import tax_rule
from jobs.opening.queries import said_closed
from jobs.package_hours.queries import hours_of
from jobs.prices.estimate import AddedWork as WorkLine
from jobs.prices.estimate import Cost, Estimate, Margin, margin, tax_within
from jobs.prices.queries import cost_of, price_of
from jobs.promises.earliest import work_min
from jobs.rules.table import Concern
from jobs.stages.queries import rule_levels
from shopapp.figures import Figure, given
from shopapp.models import the_shop
from shopapp.say import Say

HOUR_MIN = 60
WANTED = frozenset({"package", "panels", "film", "size_class", "body"})


@dataclass(frozen=True, kw_only=True)
class BookingFigures:
    """Everything computed for a booking; what is not known yet is None."""

    need: FilmNeed
    length: Figure
    too_wide: tuple[str, ...]
    short: Concern | None
    work: Figure
    settling: Settling
    closed: tuple[Say, ...]
    estimate: Estimate
    tax: TaxRule
    cost: Cost | None
    margin: Margin | None

    @property
    def work_said(self) -> Figure:
        """The work as people say it: from two hours on in hours."""
        work = self.work
        if work.value < 2 * HOUR_MIN:
            return work
        low, high = work.low, work.high
        return replace(
            work,
            unit="h",
            value=work.value / HOUR_MIN,
            low=None if low is None else low / HOUR_MIN,
            high=None if high is None else high / HOUR_MIN,
        )


def booking_figures(
    known: Mapping[str, Any], *, beside: Booking | None = None
) -> BookingFigures | None:
    """The figures of what is chosen so far, or None while too little is.

    known   cleaned fields of the booking's form
    beside  the booking that is being changed: its own film is free for it
    """
    if not known.keys() >= WANTED or not known["panels"]:
        return None
    body, film, panels = Body(known["body"]), known["film"], known["panels"]
    lines = work_lines(known.get("added_work", ()))
    car = Car(
        make=known.get("make", ""),
        model=known.get("model", ""),
        body=body,
        year=known.get("year"),
    )
    size_class = known["size_class"]
    need = film_need(panels, film=film, size_class=size_class, car=car)
    added_min = float(sum(line.minutes for line in lines))
    work = work_min(panels, times=hours_of(known["package"]), added_min=added_min)
    settling = settling_of(film, known["package"])
    estimate = _estimate(known, lines)
    cost = cost_of(
        film=film,
        length_mm=need.length_mm,
        width_mm=need.width_mm,
        work_min=work.value - added_min,
        added_work=lines,
    )
    levels = rule_levels(the_shop())
    return BookingFigures(
        need=need,
        length=given(need.length_mm / 1000, "m", "quick plan on a fresh roll"),
        too_wide=tuple(panel_name(code, body=body) for code in need.unplaced),
        short=shortage(film, length_mm=need.length_mm, levels=levels, beside=beside),
        work=work,
        settling=settling,
        closed=_closed(known),
        estimate=estimate,
        tax=tax_rule(),
        cost=cost,
        margin=_margin(known, estimate, cost),
    )


def _estimate(known: Mapping[str, Any], lines: list[WorkLine]) -> Estimate:
    return price_of(
        package=known["package"],
        codes=[choice.panel for choice in known["panels"]],
        body=Body(known["body"]),
        size_class=known["size_class"],
        film=known["film"],
        added_work=lines,
    )


def _closed(known: Mapping[str, Any]) -> tuple[Say, ...]:
    """What is said of an arrival or a promise while the shop is closed."""
    said = (
        said_closed("arrival", known.get("arrives_at")),
        said_closed("promise", known.get("promised_at")),
    )
    return tuple(sentence for sentence in said if sentence)


def figures_of(booking: Booking, *, for_another: bool = False) -> BookingFigures | None:
    """The figures of a booking as it stands, or of another car like it.

    Of times and film, only what is still to come is judged.
    """
    panels = chosen_panels(booking)
    work = booking.added_work.values("name", "minutes", "price")
    known = {
        "package": Package(booking.package),
        "panels": panels,
        "film": booking.film,
        "size_class": booking.vehicle.size_class,
        "body": booking.vehicle.body,
        "make": booking.vehicle.make,
        "model": booking.vehicle.model,
        "year": booking.vehicle.year,
        "arrives_at": booking.arrives_at,
        "promised_at": booking.promised_at,
        "price": booking.price,
        "tax_pct": booking.tax_pct,
        "added_work": work,
    }
    figures = booking_figures(known, beside=None if for_another else booking)
    if figures is None or for_another or booking.state == Booking.State.BOOKED:
        return figures
    short = _still_short(booking, panels)
    return replace(figures, closed=(), short=short)


def _still_short(booking: Booking, panels: Sequence[PanelChoice]) -> Concern | None:
    """Whether the film reaches for what is still to be cut of a car that has come."""
    codes = still_to_cut(booking)
    wanted = [panel for panel in panels if panel.panel in codes]
    if not wanted:
        return None
    vehicle = booking.vehicle
    need = film_need(
        wanted,
        film=booking.film,
        size_class=vehicle.size_class,
        car=car_of(vehicle),
    )
    levels = rule_levels(the_shop())
    return shortage(
        booking.film, length_mm=need.length_mm, levels=levels, beside=booking
    )


def work_lines(added_work: Any) -> list[WorkLine]:
    """Added work as `jobs.prices.estimate` counts it."""
    return [
        WorkLine(
            name=work["name"], price=work["price"], minutes=Decimal(work["minutes"])
        )
        for work in added_work
    ]


def _margin(
    known: Mapping[str, Any], estimate: Estimate, cost: Cost | None
) -> Margin | None:
    """What is left of the price without its tax: as agreed, else by the list."""
    price = known.get("price")
    if cost is None or (price is None and not estimate.is_complete):
        return None
    if price is None:
        return margin(net=estimate.net, cost=cost)
    pct = known["tax_pct"] if "tax_pct" in known else tax_rule().pct
    return margin(net=price - tax_within(total=price, tax_pct=pct), cost=cost)
