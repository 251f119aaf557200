"""What can be offered for a car that is in: its price, film, minutes, and the menu."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import Any

from django.db.models import QuerySet, Subquery
from django.utils.translation import gettext

from jobs.additions.offered import film_is_over, offered_said, other_edge
from jobs.coverage.catalogue import (
    Body,
    Edge,
    Method,
    PanelChoice,
    laying_min,
    panel_name,
    panels,
    panels_on,
)
from jobs.coverage.measured_queries import car_of
from jobs.film.need_queries import FilmNeed, film_need, shortage
from jobs.models import Addition, MenuWork, OrderPanel, WorkOrder
from jobs.opening.queries import opening_of
from jobs.prices.estimate import PriceKey, rounded
from jobs.prices.queries import EDGE, list_prices, price_rows
from jobs.promises.earliest import after_work
from jobs.promises.queries import clock, planned
from jobs.stages.queries import rule_levels
from jobs.stages.table import CLOSED
from shopapp.figures import Figure, given
from shopapp.models import the_shop
from shopapp.say import Say, say
from shopapp.telling import when

MM_PER_M = 1000
What = Addition.What


@dataclass(frozen=True, kw_only=True)
class Offer:
    """An addition as a page shows it.

    minutes   of its panel or edge, with where they come from; None for other work
    film      length of its blanks on a fresh roll; None where no film is needed
    short     why the film that is free will not reach
    follows   what becomes of the promise
    """

    row: Addition
    said: Say
    minutes: Figure | None = None
    film: Figure | None = None
    short: Say | None = None
    follows: Say | None = None

    @property
    def is_open(self) -> bool:
        """Whether the customer has not answered."""
        return self.row.state == Addition.State.OFFERED


def said_of(row: Addition, *, word: Callable[[str], str] = str) -> Say:
    """What is offered, in words.

    word  how a panel's name is told: `gettext` for the customer
    """
    body = body_of(row.workorder)
    name = word(panel_name(row.panel, body=body)) if row.panel else ""
    return offered_said(
        panel=name, edge=row.edge, work=row.work_name, is_edge=row.what == What.EDGE
    )


def body_of(order: WorkOrder) -> Body:
    """Its kind of body."""
    return Body(order.vehicle.body)


def offers_of(order: WorkOrder, *, now: datetime) -> list[Offer]:
    """All that was ever offered for this car, the newest first."""
    return [
        _open_offer(row, order, now=now)
        if row.state == Addition.State.OFFERED
        else Offer(row=row, said=said_of(row))
        for row in _rows().filter(workorder=order).order_by("-pk")
    ]


def offered_to(order: WorkOrder) -> list[Offer]:
    """What waits for the customer's yes or no; nothing of it once the car is gone."""
    if order.is_closed:
        return []
    waits = _rows().filter(workorder=order, state=Addition.State.OFFERED)
    return [Offer(row=row, said=said_of(row, word=gettext)) for row in waits]


def waits_for_answer() -> list[Offer]:
    """Every offer of an open order that nobody has answered."""
    waits = _rows().filter(state=Addition.State.OFFERED)
    rows = waits.exclude(workorder__stage=CLOSED.value).order_by("offered_at", "pk")
    return [Offer(row=row, said=said_of(row)) for row in rows]


def _rows() -> QuerySet[Addition]:
    return Addition.objects.select_related(
        "workorder__vehicle", "workorder__customer", "offered_by", "answered_by"
    )


def _open_offer(row: Addition, order: WorkOrder, *, now: datetime) -> Offer:
    method = Method(row.method) if row.method else Method.HAND_FITTED
    metres = row.film_mm / MM_PER_M
    return Offer(
        row=row,
        said=said_of(row),
        minutes=_minutes(row, method=method),
        film=given(metres, "m", "quick plan on a fresh roll") if metres else None,
        short=_short(row, order),
        follows=_follows(row, order, now=now),
    )


def _minutes(row: Addition, *, method: Method) -> Figure | None:
    if row.what == What.PANEL:
        return laying_min(panels()[row.panel], method=method)
    if row.what == What.EDGE and row.minutes:
        return given(row.minutes, "min", "common practice")
    return None


def _short(row: Addition, order: WorkOrder) -> Say | None:
    """The film rule's sentence, beside all that is held, this car's own too."""
    if not row.film_mm:
        return None
    levels = rule_levels(the_shop())
    concern = shortage(order.film, length_mm=row.film_mm, levels=levels)
    return concern.sentence if concern else None


def _follows(row: Addition, order: WorkOrder, *, now: datetime) -> Say:
    """Ready when, if this work comes after all that is planned for the car."""
    known = planned(order, now=now)
    if known is None or known.ready_at is None or not row.minutes:
        return say("The plan follows within a minute of the yes.")
    at = clock(now=now)
    ready_at = after_work(
        known.ready_at.astimezone(at.now.tzinfo),
        minutes=row.minutes,
        opening=opening_of(),
    )
    if ready_at > order.promised_at:
        return say(
            "With it ready about {ready}: after the promise of {promised}. The plan "
            "follows within a minute of the yes; tell the customer the later time.",
            ready=when(ready_at),
            promised=when(order.promised_at),
        )
    return say(
        "With it ready about {ready}, before the promise of {promised}. The plan "
        "follows within a minute of the yes.",
        ready=when(ready_at),
        promised=when(order.promised_at),
    )


def missed_by_sheet(order: WorkOrder) -> Say | None:
    """Film agreed on since the mixing sheet of this round was made."""
    if film_is_over(order.stage_now):
        return None
    sheets = order.sheets.filter(round=order.round).order_by("-version")
    since = _rows().filter(
        workorder=order,
        state=Addition.State.AGREED,
        what__in=(What.PANEL, What.EDGE),
        answered_at__gt=Subquery(sheets.values("made_at")[:1]),
    )
    added = "; ".join(str(said_of(row)) for row in since)
    if not added:
        return None
    return say(
        "The mixing sheet no longer fits, it was made before this was agreed: {added}.",
        added=added,
    )


def coverage_of(order: WorkOrder) -> list[PanelChoice]:
    """What is filmed on the car as it stands."""
    rows = order.panels.filter(struck_off_at=None)
    return [row.choice for row in rows]


def panels_to_offer(order: WorkOrder) -> list[tuple[str, str]]:
    """Panels of the car that are not on its order, with their names."""
    body, covered = body_of(order), {choice.panel for choice in coverage_of(order)}
    return [
        (panel.code, panel_name(panel.code, body=body))
        for panel in panels_on(body)
        if panel.code not in covered
    ]


def bare_panels(order: WorkOrder) -> QuerySet[OrderPanel]:
    """Panels of the order without film on them."""
    return order.panels.filter(struck_off_at=None, laid_at=None)


def edges_to_offer(order: WorkOrder) -> list[tuple[str, str]]:
    """Panels of the order without film, with the edge that they could get."""
    body = body_of(order)
    return [
        (
            row.panel,
            str(
                offered_said(
                    panel=panel_name(row.panel, body=body),
                    edge=other_edge(row.edge).value,
                    work="",
                    is_edge=True,
                )
            ),
        )
        for row in bare_panels(order)
    ]


def listed_price(order: WorkOrder, panel: str) -> Decimal | None:
    """A panel's price for this size and film, by the list."""
    item, film = panels()[panel].name, order.film
    key = PriceKey(item=item, size_class=order.vehicle.size_class, film=film.name)
    amount = list_prices(price_rows(), film=film).get(key)
    return None if amount is None else rounded(amount)


def edge_price(order: WorkOrder, edge: str) -> Decimal | None:
    """What another edge of a panel costs by the list; cut short, nothing."""
    if edge != Edge.WRAPPED.value:
        return Decimal(0)
    amount = price_rows().get(EDGE)
    return None if amount is None else rounded(amount * order.film.price_factor)


def film_for(order: WorkOrder, choice: PanelChoice) -> FilmNeed:
    """What this panel takes off a fresh roll."""
    vehicle = order.vehicle
    return film_need(
        [choice], film=order.film, size_class=vehicle.size_class, car=car_of(vehicle)
    )


def as_on_menu(work: dict[str, Any]) -> dict[str, Any]:
    """Other work as typed; what is not said is as the menu has it."""
    if not work["name"]:
        return work
    known = menu().filter(name__iexact=work["name"].strip()).first()
    if known is None:
        return work
    return {
        name: getattr(known, name) if said in (None, "") else said
        for name, said in work.items()
    }


def menu() -> QuerySet[MenuWork]:
    """Other work that is offered now."""
    return MenuWork.objects.filter(is_offered=True)
