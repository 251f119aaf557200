"""What the standing plan has for one car, and for one person."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta, tzinfo

from django.utils import timezone

from jobs.models import Booking
from jobs.plan.car_queries import booking_key
from jobs.plan.name_queries import car_names, names_now, names_of
from jobs.plan.planned import ShopPlan, Step
from jobs.plan.queries import plan_of, standing
from jobs.plan.words import HELD, PART_WORDS
from shopapp.models import Person, the_shop
from shopapp.once import once_a_page


@dataclass(frozen=True, kw_only=True)
class StepLine:
    """A step of a plan in words: what, when, where, who.

    booking, order  keys of the car's rows; None where there is none
    goes_on         it began on a day before the one shown
    ends_later      it ends on a day after it
    """

    what: str
    starts_at: datetime
    ends_at: datetime
    spot: str
    people: str
    car: str
    booking: int | None = None
    order: int | None = None
    goes_on: bool = False
    ends_later: bool = False


@dataclass(frozen=True, kw_only=True)
class WorkDay:
    """What a plan has for a person on a day."""

    day: date
    is_today: bool
    lines: tuple[StepLine, ...]


def standing_plan() -> ShopPlan | None:
    """The plan as it stands now, if there is one."""
    row = standing()
    return plan_of(row) if row else None


@once_a_page
def standing_names() -> Mapping[str, str]:
    """What the keys in its sentences are called now."""
    return names_of(standing_plan())


def steps_of(booking: Booking) -> tuple[Step, ...]:
    """What it has for a car."""
    plan = standing_plan()
    return tuple(plan.steps_of(booking_key(booking.pk))) if plan else ()


def planned_steps(booking: Booking) -> tuple[StepLine, ...]:
    """The same in words; where the car only stands is left out."""
    steps = [step for step in steps_of(booking) if step.part not in HELD]
    return _in_words(steps)


def days_of(person: Person, *, now: datetime) -> tuple[WorkDay, ...]:
    """What comes or goes on for a person today and tomorrow, of any car."""
    plan, zone = standing_plan(), the_shop().zone
    if plan is None:
        return ()
    key, today = f"person-{person.pk}", timezone.localtime(now, zone).date()
    mine = [step for step in plan.steps if key in step.people and step.ends_at > now]
    soon = timezone.localtime(now, zone) + timedelta(days=2)
    lines = _in_words(step for step in mine if step.starts_at < soon)
    return tuple(
        WorkDay(
            day=day,
            is_today=day == today,
            lines=tuple(
                _on(day, line, zone=zone)
                for line in lines
                if _is_on(day, line, zone=zone)
            ),
        )
        for day in (today, today + timedelta(days=1))
    )


def _is_on(day: date, line: StepLine, *, zone: tzinfo) -> bool:
    first, last = (at.astimezone(zone).date() for at in (line.starts_at, line.ends_at))
    return first <= day <= last


def _on(day: date, line: StepLine, *, zone: tzinfo) -> StepLine:
    first, last = (at.astimezone(zone).date() for at in (line.starts_at, line.ends_at))
    return replace(line, goes_on=first < day, ends_later=last > day)


def _in_words(steps: Iterable[Step]) -> tuple[StepLine, ...]:
    known = sorted(steps, key=lambda step: (step.starts_at, step.key))
    if not known:
        return ()
    cars = {step.car for step in known}
    names, rows = names_now() | car_names(cars), _rows(cars)
    return tuple(_line(step, names=names, rows=rows) for step in known)


def _rows(cars: Iterable[str]) -> dict[str, tuple[int, int | None]]:
    """The booking, and the order, of each car."""
    pks = {int(car.split("-")[1]) for car in cars if car.startswith("booking-")}
    rows = Booking.objects.filter(pk__in=pks).values_list("pk", "workorder__pk")
    return {booking_key(pk): (pk, order) for pk, order in rows}


def _line(
    step: Step,
    *,
    names: Mapping[str, str],
    rows: Mapping[str, tuple[int, int | None]],
) -> StepLine:
    booking, order = rows.get(step.car, (None, None))
    if step.car.startswith("order-"):
        order = int(step.car.split("-")[1])
    return StepLine(
        what=PART_WORDS[step.part],
        starts_at=step.starts_at,
        ends_at=step.ends_at,
        spot=names.get(step.spot, ""),
        people=", ".join(names.get(key, "") for key in step.people),
        car=names.get(step.car, ""),
        booking=booking,
        order=order,
    )
