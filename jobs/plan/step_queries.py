"""What the standing plan has for one car, and for one person."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta, tzinfo

from django.utils import timezone

from jobs.models import Booking
from jobs.plan.car_queries import booking_key, car_name
from jobs.plan.name_queries import cars_of, names_now, names_of, order_of
from jobs.plan.planned import ShopPlan, Step, merged
from jobs.plan.queries import plan_of, standing
from jobs.plan.today import Doing, doing_of, doings
from shopapp.models import Person, the_shop
from shopapp.once import once_a_page


@dataclass(frozen=True, kw_only=True)
class WorkLine:
    """Work of a person on a car, on one day.

    booking, order  keys of the car's rows; None where there is none
    goes_on         it began on a day before the one shown
    ends_later      it ends on a day after it
    """

    doing: Doing
    car: str
    booking: int | None
    order: int | None
    goes_on: bool = False
    ends_later: bool = False


@dataclass(frozen=True, kw_only=True)
class WorkDay:
    """What a plan has for a person on a day."""

    day: date
    is_today: bool
    lines: tuple[WorkLine, ...]


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


def planned_steps(booking: Booking) -> list[Doing]:
    """The same in words."""
    return doings(steps_of(booking), names=names_now())


def days_of(person: Person, *, now: datetime) -> tuple[WorkDay, ...]:
    """What comes or goes on for a person today and tomorrow, of any car."""
    plan, zone = standing_plan(), the_shop().zone
    if plan is None:
        return ()
    key, here = f"person-{person.pk}", timezone.localtime(now, zone)
    soon = here + timedelta(days=2)
    mine = (step for step in plan.steps if key in step.people)
    lines = list(_lines(s for s in mine if s.starts_at < soon and s.ends_at > now))
    today = here.date()
    return tuple(
        WorkDay(day=day, is_today=day == today, lines=tuple(_on(day, lines, zone)))
        for day in (today, today + timedelta(days=1))
    )


def _on(day: date, lines: Iterable[WorkLine], zone: tzinfo) -> Iterator[WorkLine]:
    for line in lines:
        first = line.doing.starts_at.astimezone(zone).date()
        last = line.doing.ends_at.astimezone(zone).date()
        if first <= day <= last:
            yield replace(line, goes_on=first < day, ends_later=last > day)


def _lines(steps: Iterable[Step]) -> Iterator[WorkLine]:
    known = list(merged(steps))
    names, rows = names_now(), cars_of(step.car for step in known)
    for step in known:
        if row := rows.get(step.car):
            order = order_of(row)
            yield WorkLine(
                doing=doing_of(step, names=names),
                car=car_name(order or row),
                booking=row.pk if isinstance(row, Booking) else None,
                order=order.pk if order else None,
            )
