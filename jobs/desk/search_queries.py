"""Found by one field: cars with where they are, customers, film and bottles."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db.models import Count, QuerySet

from jobs.models import (
    Booking,
    Customer,
    OffCut,
    Roll,
    SearchKey,
    Vehicle,
    WorkOrder,
)
from jobs.path.queries import CarOnFloor, cars_on_floor, open_orders
from jobs.promises.queries import Outlook, booking_outlook, clock
from jobs.search.queries import each_way, in_any, rows_with
from jobs.search.spelling import Asked, holds, number_keys
from mixing.models import Vessel
from shopapp.models import Shop

MOST = 12
"""Hits of one sort that are shown; who sees more types more."""
EARLIER = 3
"""Earlier visits of a car that are named."""
Of = SearchKey.Of


@dataclass(frozen=True, kw_only=True)
class Visit:
    """A car's stay: expected, here, handed over, or called off.

    card     how it stands on the floor, while it is here
    outlook  when it will be ready, while that is to come
    is_asked its number is what was searched for
    is_due   it was to come by now, and has not
    """

    booking: Booking | None
    order: WorkOrder | None
    card: CarOnFloor | None = None
    outlook: Outlook | None = None
    is_asked: bool = False
    is_due: bool = False

    @property
    def is_expected(self) -> bool:
        """Booked, and not here yet."""
        booked = self.booking and self.booking.state == Booking.State.BOOKED
        return self.order is None and bool(booked)

    @property
    def rank(self) -> tuple[bool, bool, float]:
        """What is asked first of a car: is it here, does it come, what was last."""
        at = self.order.arrived_at if self.order else None
        if at is None and self.booking:
            at = self.booking.arrives_at
        age = -at.timestamp() if at else 0.0
        return (self.card is None, not self.is_expected, age)


@dataclass(frozen=True, kw_only=True)
class CarFound:
    """A car with the stay that is asked for, and some of those before."""

    vehicle: Vehicle
    now: Visit | None
    others: tuple[Visit, ...]
    is_more: bool


@dataclass(frozen=True, kw_only=True)
class Found:
    """All that the field found; `is_more` where a list is cut."""

    cars: tuple[CarFound, ...] = ()
    customers: tuple[Customer, ...] = ()
    rolls: tuple[Roll, ...] = ()
    offcuts: tuple[OffCut, ...] = ()
    vessels: tuple[Vessel, ...] = ()
    is_more: bool = False

    @property
    def is_nothing(self) -> bool:
        """Whether no row fits."""
        return not any(
            (self.cars, self.customers, self.rolls, self.offcuts, self.vessels)
        )


def found(asked: Asked, *, knows_customers: bool, now: datetime, shop: Shop) -> Found:
    """What fits; without `knows_customers` nothing is found by name or phone."""
    if not asked.is_enough:
        return Found()
    cars = _vehicle_pks(asked, knows_customers=knows_customers)
    customers = tuple(_customers(asked)) if knows_customers else ()
    rolls = tuple(_rows(Roll.objects.select_related("film"), Of.ROLL, asked))
    offcuts = tuple(_rows(OffCut.objects.select_related("film"), Of.OFFCUT, asked))
    vessels = tuple(
        vessel
        for vessel in Vessel.objects.order_by("retired", "code")
        if holds(number_keys(vessel.code), asked)
    )
    lists: tuple[tuple[Any, ...], ...] = (cars, customers, rolls, offcuts, vessels)
    return Found(
        cars=_cars(cars[:MOST], asked, now=now, shop=shop),
        customers=customers[:MOST],
        rolls=rolls[:MOST],
        offcuts=offcuts[:MOST],
        vessels=vessels[:MOST],
        is_more=any(len(rows) > MOST for rows in lists),
    )


def _rows(rows: QuerySet[Any], of: SearchKey.Of, asked: Asked) -> QuerySet[Any]:
    pks = each_way(
        rows.model._default_manager.values("pk"),
        asked,
        lambda begun: in_any([rows_with(of, each) for each in begun]),
    )
    return rows.filter(pk__in=pks.values("pk")).order_by("-pk")[: MOST + 1]


def _customers(asked: Asked) -> QuerySet[Any]:
    counted = Customer.objects.annotate(cars=Count("vehicles"))
    return _rows(counted, Of.CUSTOMER, asked)


def _vehicle_pks(asked: Asked, *, knows_customers: bool) -> tuple[int, ...]:
    """Cars that fit, by themselves, their papers or their owner: those here first."""

    def pks(begun: Iterable[str]) -> QuerySet[Any]:
        return in_any([part for each in begun for part in having(each)])

    def having(beginning: str) -> Iterable[QuerySet[Any]]:
        yield rows_with(Of.VEHICLE, beginning)
        bookings = Booking.objects.filter(pk__in=rows_with(Of.BOOKING, beginning))
        yield bookings.order_by().values("vehicle")
        orders = WorkOrder.objects.filter(pk__in=rows_with(Of.ORDER, beginning))
        yield orders.order_by().values("vehicle")
        if knows_customers:
            owners = rows_with(Of.CUSTOMER, beginning)
            theirs = Vehicle.objects.filter(customer__in=owners)
            yield theirs.order_by().values("pk")

    wanted = each_way(Vehicle.objects.values("pk"), asked, pks)
    coming = Booking.objects.filter(state=Booking.State.BOOKED).order_by("arrives_at")
    firsts = [
        rows.filter(vehicle__in=wanted).values_list("vehicle", flat=True)[: MOST + 1]
        for rows in (open_orders(), coming)
    ]
    every = Vehicle.objects.filter(pk__in=wanted).order_by("-pk")
    known = (*firsts[0], *firsts[1], *every.values_list("pk", flat=True)[: MOST + 1])
    return tuple(dict.fromkeys(known))


def _cars(
    pks: tuple[int, ...], asked: Asked, *, now: datetime, shop: Shop
) -> tuple[CarFound, ...]:
    stays: dict[int, list[Visit]] = {pk: [] for pk in pks}
    for visit in _visits(pks, asked, now=now, shop=shop):
        of = visit.order or visit.booking
        if of:
            stays[of.vehicle_id].append(visit)
    vehicles = Vehicle.objects.select_related("customer").in_bulk(list(pks))
    return tuple(_car(vehicles[pk], sorted(stays[pk], key=_rank)) for pk in pks)


def _rank(visit: Visit) -> tuple[bool, bool, float]:
    return visit.rank


def _car(vehicle: Vehicle, stays: list[Visit]) -> CarFound:
    first, rest = stays[0] if stays else None, stays[1:]
    named = sorted(rest, key=lambda visit: not visit.is_asked)[:EARLIER]
    return CarFound(
        vehicle=vehicle,
        now=first,
        others=tuple(named),
        is_more=len(rest) > len(named),
    )


def _visits(
    pks: tuple[int, ...], asked: Asked, *, now: datetime, shop: Shop
) -> Iterable[Visit]:
    """Every stay of these cars, with the state of those that are here or to come."""
    heads = ("vehicle", "booking__forecast", "film", "bay", "place")
    orders = list(WorkOrder.objects.filter(vehicle__in=pks).select_related(*heads))
    here = [order for order in orders if not order.is_closed]
    cards = {card.pk: card for card in cars_on_floor(here, now=now, shop=shop)}
    for order in orders:
        card = cards.get(order.pk)
        yield Visit(
            booking=order.booking,
            order=order,
            card=card,
            outlook=card.outlook if card else None,
            is_asked=holds(number_keys(order.number), asked),
        )
    at = clock(now=now, shop=shop)
    to_come = Booking.objects.filter(vehicle__in=pks, workorder=None)
    for booking in to_come.select_related("film", "forecast"):
        yield Visit(
            booking=booking,
            order=None,
            outlook=booking_outlook(booking, clock=at),
            is_asked=holds(number_keys(booking.order_number), asked),
            is_due=booking.arrives_at < now,
        )
