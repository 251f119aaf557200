"""A car as it is to be fixed, held against the plan as it stands."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime

from django.utils import timezone

from jobs.models import Booking
from jobs.plan.car_queries import booking_key
from jobs.plan.fixed_day import stretch_of
from jobs.plan.move_look import Look, look_at
from jobs.plan.name_queries import names_now
from jobs.plan.naming import named
from jobs.plan.queries import plan_of, standing
from jobs.plan.shop_queries import shop_facts
from shopapp.models import Bay, Person


def look_of(
    booking: Booking,
    *,
    day: date | None,
    half: str,
    bay: Bay | None,
    people: tuple[Person, ...],
    weight: int,
) -> Look:
    """What a car moved like this would mean."""
    facts, row = shop_facts(now=timezone.now()), standing()
    key = booking_key(booking.pk)
    car = next((car for car in facts.cars if car.key == key), None)
    if car is None:
        return Look()
    between: tuple[datetime | None, datetime | None] = (None, None)
    if day:
        between = stretch_of(day, half, like=facts.now)
    moved = replace(
        car,
        bay=f"bay-{bay.pk}" if bay else "",
        people=tuple(f"person-{person.pk}" for person in people),
        weight=weight,
        not_before=between[0],
        not_after=between[1],
    )
    look = look_at(facts=facts, standing=plan_of(row) if row else None, car=moved)
    names = names_now() | {car.key: car.name for car in facts.cars}
    return Look(
        clashes=tuple(named(said, names) for said in look.clashes),
        found=tuple(named(said, names) for said in look.found),
    )
