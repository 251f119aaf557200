"""The day by promise: where each car is, who has it, what is next (pure)."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from jobs.plan.naming import Names, joined, named
from jobs.plan.planned import CarPlanned, ShopPlan, Step, merged
from jobs.plan.shop import Part
from jobs.plan.words import HELD, PART_WORDS
from shopapp.say import Say

QUARTER = timedelta(minutes=15)


@dataclass(frozen=True, kw_only=True)
class CarNow:
    """A car as the records have it.

    key        "booking-12"; an order that nobody booked is "order-12"
    spot       name of the bay or place where it stands
    waits_for  why it is paused
    is_ready   it only waits for its customer
    """

    key: str
    plate: str
    what: str
    customer: str
    package: str
    arrives_at: datetime
    promised_at: datetime
    booking_pk: int | None = None
    order_pk: int | None = None
    is_here: bool = False
    is_ready: bool = False
    spot: str = ""
    waits_for: str = ""


@dataclass(frozen=True, kw_only=True)
class Doing:
    """A piece of work as it is said: its word, when, where, by whom."""

    part: Part
    word: str
    starts_at: datetime
    ends_at: datetime
    spot: str
    people: str


@dataclass(frozen=True, kw_only=True)
class CarLine:
    """A car and what the plan does with it; when it is ready is its outlook.

    doing     what is planned for this moment
    unplaced  why no plan has it
    """

    car: CarNow
    doing: Doing | None = None
    next: Doing | None = None
    unplaced: tuple[Say, ...] = ()

    @property
    def is_settling(self) -> bool:
        """Nobody works on it: the film settles."""
        return self.doing is not None and self.doing.part is Part.SETTLING


@dataclass(frozen=True, kw_only=True)
class Today:
    """The cars of the day.

    due       here, or promised today: by promise
    coming    the others that come today, by arrival
    next_day  those that come on the next open day
    """

    due: tuple[CarLine, ...]
    coming: tuple[CarLine, ...]
    next_day: tuple[CarLine, ...]
    next_open: date


def today(
    cars: Sequence[CarNow],
    *,
    plan: ShopPlan | None,
    names: Names,
    now: datetime,
    next_open: date,
) -> Today:
    """The day's cars with what the plan says of each.

    now  in the shop's zone; its date is today
    """
    lines = [line_of(car, plan=plan, names=names, now=now) for car in cars]

    def day(moment: datetime) -> date:
        return moment.astimezone(now.tzinfo).date()

    due = [
        line
        for line in lines
        if line.car.is_here or day(line.car.promised_at) <= now.date()
    ]
    rest = [line for line in lines if line not in due]
    coming = [line for line in rest if day(line.car.arrives_at) <= now.date()]
    later = [line for line in rest if day(line.car.arrives_at) == next_open]
    return Today(
        due=tuple(sorted(due, key=lambda line: line.car.promised_at)),
        coming=tuple(sorted(coming, key=lambda line: line.car.arrives_at)),
        next_day=tuple(sorted(later, key=lambda line: line.car.arrives_at)),
        next_open=next_open,
    )


def line_of(
    car: CarNow, *, plan: ShopPlan | None, names: Names, now: datetime
) -> CarLine:
    """One car and what the plan says of it."""
    if plan is None:
        return CarLine(car=car)
    steps = doings(plan.steps_of(car.key), names=names)
    # A plan begins with the quarter after it was made: what it begins with is going on.
    begins = max(now, plan.as_of + QUARTER) if car.is_here else now
    doing = next((one for one in steps if one.starts_at <= begins < one.ends_at), None)
    ahead = (one for one in steps if one.starts_at > begins)
    return CarLine(
        car=car,
        doing=doing,
        next=next(ahead, None),
        unplaced=tuple(
            named(reason, names) for key, reason in plan.unplaced if key == car.key
        ),
    )


@dataclass(frozen=True, kw_only=True)
class Difference:
    """When a car is ready by the plan as it stands, and by another one."""

    car: str
    before: CarPlanned | None
    after: CarPlanned


def differences(before: ShopPlan | None, after: ShopPlan) -> list[Difference]:
    """Cars that are ready at another time, or late in one of the two, by promise."""
    known = {car.car: car for car in before.cars} if before else {}
    found = [
        Difference(car=car.car, before=known.get(car.car), after=car)
        for car in sorted(after.cars, key=lambda car: (car.promised_at, car.car))
    ]
    return [
        one
        for one in found
        if one.before is None
        or one.before.ready_at != one.after.ready_at
        or "late" in (one.before.standing, one.after.standing)
    ]


def doings(steps: Iterable[Step], *, names: Names) -> list[Doing]:
    """The work of a car in the order of time; pieces that follow each other are one.

    What only holds a place is left out, and so is the second pair of hands.
    """
    work = (step for step in steps if step.part not in HELD | {Part.HELP})
    return [doing_of(step, names=names) for step in merged(work)]


def doing_of(step: Step, *, names: Names) -> Doing:
    """A step as it is said."""
    return Doing(
        part=step.part,
        word=PART_WORDS[step.part],
        starts_at=step.starts_at,
        ends_at=step.ends_at,
        spot=names.get(step.spot, ""),
        people=joined(step.people, names),
    )
