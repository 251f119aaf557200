"""What the demo shop's desk promises, and the cars it has booked."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from functools import partial
from typing import Any

from jobs.cure.queries import settling_of
from jobs.demo.cars import BOOKED, ON_THE_DAY_OFF, Car, Wish
from jobs.demo.days import DemoDays
from jobs.demo.steps import Cast
from jobs.models import Film
from jobs.plan.car_queries import Expected, booking_key, car_to_come, panels_to_do
from jobs.plan.making import plan_shop
from jobs.plan.promise import promise_after
from jobs.plan.shop_queries import known_now, shop_facts
from jobs.promises.earliest import after_work, earliest_hand_over
from jobs.scheduling import quick_plan
from shopapp.models import Bay, the_shop

BY_RULES = partial(quick_plan, seconds=0)
"""The same plan each time."""
SOON_MIN = 90.0
"""A final look and its papers, and whoever is at another car first."""
FAR = timedelta(days=30)
"""So far off no promise presses."""
NOT_YET_BOOKED = 1_000_000
"""Keys of cars that are planned before they are booked begin here."""


@dataclass(frozen=True, kw_only=True)
class Booked:
    """A car to book: when it comes, what it was promised, what was asked for."""

    car: Car
    arrives_at: datetime
    promised_at: datetime
    wish: dict[str, Any]


def promise_for(
    car: Car, *, days: DemoDays, work_h: float, is_laid: bool = False
) -> datetime:
    """An hour that holds for a car in the shop: ready, and half a day.

    work_h   opening hours from now until its film is laid, other cars in between
    is_laid  it was laid by the last busy hour
    """
    ready_at = earliest_hand_over(
        arrives_at=days.anchor if is_laid else days.now,
        work_min=work_h * 60,
        settling=settling_of(Film.objects.get(code=car.film), car.package),
        opening=days.opening,
    )
    soon = after_work(days.now, minutes=SOON_MIN, opening=days.opening)
    return promise_after(max(ready_at, soon), opening=days.opening)


def to_book(*, days: DemoDays, cast: Cast) -> list[Booked]:
    """The cars to come, with their promises: ready by a plan of all, and later."""
    coming = [
        _coming(car, days.arrival(days.ahead(car.comes[0]), car.comes[1]), days, cast)
        for car in BOOKED
        if car.comes
    ]
    coming += [
        _coming(car, days.arrival(days.day_off, 8), days, cast)
        for car in ON_THE_DAY_OFF
    ]
    ready_at = _ready(coming, days=days)
    return [
        _promised(each, ready, days=days)
        for each, ready in zip(coming, ready_at, strict=True)
    ]


def _coming(car: Car, arrives_at: datetime, days: DemoDays, cast: Cast) -> Booked:
    return Booked(
        car=car,
        arrives_at=arrives_at,
        promised_at=_firm(car, arrives_at, days=days) or arrives_at + FAR,
        wish=_asked_for(car.wish, arrives_at=arrives_at, cast=cast),
    )


def _promised(each: Booked, ready_at: datetime, *, days: DemoDays) -> Booked:
    if each.car.leaves_in is not None:
        return each
    return replace(each, promised_at=promise_after(ready_at, opening=days.opening))


def _firm(car: Car, arrives_at: datetime, *, days: DemoDays) -> datetime | None:
    """The hour that a customer insists on."""
    if car.leaves_in is None:
        return None
    return days.closing(arrives_at.date() + timedelta(days=car.leaves_in))


def _asked_for(
    wish: Wish | None, *, arrives_at: datetime, cast: Cast
) -> dict[str, Any]:
    if wish is None:
        return {}
    bay = Bay.objects.get(position=wish.bay)
    if not wish.who:
        return {"bay": bay}
    people = (getattr(cast, wish.who),)
    return {"bay": bay, "people": people, "film_day": arrives_at.date()}


def _ready(coming: list[Booked], *, days: DemoDays) -> list[datetime]:
    """When each is ready, planned with the cars that are here."""
    known = known_now(now=days.now, shop=the_shop())
    cars = [
        car_to_come(_expected(each, key), known=known)
        for key, each in enumerate(coming, NOT_YET_BOOKED)
    ]
    facts = shop_facts(now=days.now)
    plan = plan_shop(
        replace(facts, cars=(*facts.cars, *cars)), in_force=None, search=BY_RULES
    )
    ready = {car.car: car.ready_at for car in plan.cars}
    return [ready[car.key].astimezone(days.zone) for car in cars]


def _expected(each: Booked, key: int) -> Expected:
    bay = each.wish.get("bay")
    return Expected(
        key=booking_key(key),
        name=each.car.plate,
        package=each.car.package,
        film=Film.objects.get(code=each.car.film),
        arrives_at=each.arrives_at,
        promised_at=each.promised_at,
        panels=panels_to_do(each.car.choices),
        bay=bay.pk if bay else None,
        people=each.wish.get("people", ()),
        day=each.wish.get("film_day"),
    )
