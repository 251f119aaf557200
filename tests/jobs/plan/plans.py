"""Plans by hand, for the pages that show them."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime, timedelta
from typing import Any

from jobs.models import BayPlan, Booking
from jobs.plan.planned import CarPlanned, ShopPlan, Step
from jobs.plan.shop import Part
from jobs.plan.stored import plan_to_json

HOUR = timedelta(hours=1)


def steps_of(
    car: str, at: datetime, *, bay: str = "bay-1", people: tuple[str, ...] = ()
) -> tuple[Step, ...]:
    """Prep and film work, an hour each, inspection, and the stay in the bay."""
    known = {"car": car, "spot": bay, "people": people}
    return (
        Step(part=Part.PREP, starts_at=at, ends_at=at + HOUR, **known),
        Step(part=Part.INSTALL, starts_at=at + HOUR, ends_at=at + 2 * HOUR, **known),
        Step(
            part=Part.INSPECTION,
            starts_at=at + 2 * HOUR,
            ends_at=at + 3 * HOUR,
            **known,
        ),
        Step(car=car, part=Part.STAY, starts_at=at, ends_at=at + 3 * HOUR, spot=bay),
    )


def car_planned(
    car: str, ready_at: datetime, promised_at: datetime, **more: Any
) -> CarPlanned:
    """A car that is ready then, in time where it is."""
    known = {"latest_at": ready_at, "late_min": 0, **more}
    return CarPlanned(car=car, ready_at=ready_at, promised_at=promised_at, **known)


def keep_plan(
    bookings: Iterable[Booking],
    *,
    at: datetime,
    state: str = BayPlan.State.STANDING,
    bay: str = "bay-1",
    people: tuple[str, ...] = (),
    **more: Any,
) -> BayPlan:
    """A plan in which each of these cars is begun at a moment; there is one a state."""
    rows = list(bookings)
    steps = (
        step
        for row in rows
        for step in steps_of(f"booking-{row.pk}", at, bay=bay, people=people)
    )
    cars = (
        car_planned(f"booking-{row.pk}", at + 3 * HOUR, row.promised_at) for row in rows
    )
    plan = ShopPlan(**{"as_of": at, "steps": tuple(steps), "cars": tuple(cars), **more})
    known = {"problem_hash": "by hand", "facts": plan_to_json(plan)}
    row, _ = BayPlan.objects.update_or_create(state=state, defaults=known)
    return row
