"""Facts of the day sheet: cars by promise, bay, people, hours."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from jobs.crews.queries import away_on
from jobs.models import Booking, Forecast, WorkOrder
from jobs.papers.facts import Json, ShopFacts, shop_facts, to_json
from jobs.papers.plan_facts import (
    Piece,
    PlannedDay,
    pieces_on,
    planned_day,
)
from jobs.plan.name_queries import cars_of, order_of
from jobs.plan.planned import CarPlanned, ShopPlan
from jobs.plan.shop import Part


@dataclass(frozen=True, kw_only=True)
class WorkFacts:
    """A piece of work. `car` stands on a person's list, `people` on a car's."""

    since: str
    until: str
    what: str
    where: str
    people: str = ""
    car: str = ""


@dataclass(frozen=True, kw_only=True)
class CarFacts:
    """A car of the day; customer and phone on the desk's copy alone.

    settles_at  until then its film settles; None where that is not today
    """

    car: str
    number: str
    vehicle: str
    package: str
    promised_at: datetime
    ready_at: datetime
    standing: str
    standing_said: str
    works: tuple[WorkFacts, ...]
    settles_at: datetime | None = None
    customer: str = ""
    phone: str = ""


@dataclass(frozen=True, kw_only=True)
class PersonFacts:
    """A person's day."""

    name: str
    hours: float
    works: tuple[WorkFacts, ...]


@dataclass(frozen=True, kw_only=True)
class DaySheetFacts:
    """The day sheet. `open_from_to` is empty on a day on which the shop is closed."""

    shop: ShopFacts
    day_on: date
    open_from_to: str
    for_desk: bool
    cars: tuple[CarFacts, ...]
    people: tuple[PersonFacts, ...]
    away: tuple[str, ...]


def day_sheet_facts(plan: ShopPlan, *, day: date, for_desk: bool) -> Json:
    """The day as the plan stands."""
    known = planned_day(day, plan)
    rows = cars_of(car.car for car in plan.cars)
    cars = sorted(plan.cars, key=lambda car: (car.promised_at, car.car))
    shown = (_car(known, car, rows.get(car.car), for_desk) for car in cars)
    return to_json(
        DaySheetFacts(
            shop=shop_facts(known.shop),
            day_on=day,
            open_from_to=known.hours,
            for_desk=for_desk,
            cars=tuple(car for car in shown if car),
            people=tuple(_people(known)),
            away=tuple(_away(day)),
        )
    )


def _car(
    day: PlannedDay, car: CarPlanned, row: Booking | WorkOrder | None, for_desk: bool
) -> CarFacts | None:
    """What is said of a car; None where the day has nothing to do with it."""
    steps = [step for step in day.plan.steps if step.car == car.car]
    works = tuple(_work(day, piece, of_car=True) for piece in pieces_on(day, steps))
    settling = [s for s in steps if s.part is Part.SETTLING and day.touches(s)]
    if row is None or not (works or settling or day.holds(car.promised_at)):
        return None
    order = order_of(row)
    private = {"customer": row.customer.name, "phone": row.customer.phone}
    return CarFacts(
        car=day.names.get(car.car, car.car),
        number=order.number if order else "",
        vehicle=str(row.vehicle),
        package=row.get_package_display() if isinstance(row, Booking) else "",
        promised_at=car.promised_at,
        ready_at=car.ready_at,
        standing=car.standing,
        standing_said=str(Forecast.Standing(car.standing).label),
        works=works,
        settles_at=settling[-1].ends_at if settling else None,
        **(private if for_desk else {}),
    )


def _work(day: PlannedDay, piece: Piece, *, of_car: bool) -> WorkFacts:
    beside: Mapping[str, Any] = (
        {"people": day.people(piece.step)}
        if of_car
        else {"car": day.names.get(piece.step.car, piece.step.car)}
    )
    return WorkFacts(
        since=day.clock(piece.since),
        until=day.clock(piece.until),
        what=piece.what,
        where=day.spot(piece.step),
        **beside,
    )


def _people(day: PlannedDay) -> list[PersonFacts]:
    keys = {key for step in day.plan.steps for key in step.people}
    found = []
    for key in keys:
        mine = pieces_on(day, [s for s in day.plan.steps if key in s.people])
        if mine:
            found.append(
                PersonFacts(
                    name=day.names.get(key, key),
                    hours=round(sum(piece.hours for piece in mine), 2),
                    works=tuple(_work(day, piece, of_car=False) for piece in mine),
                )
            )
    return sorted(found, key=lambda person: person.name)


def _away(day: date) -> list[str]:
    """Who is away, without the reason: the sheet hangs where everybody reads it."""
    return [
        f"{row.person} ({row.get_half_display()})" if row.half else str(row.person)
        for row in away_on(day)
    ]
