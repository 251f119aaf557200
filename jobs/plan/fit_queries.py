"""When a car that is being booked fits: what is typed, beside the standing plan."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from functools import partial
from typing import Any

from jobs.cure.dates import half_hour_up
from jobs.cure.queries import settling_of
from jobs.models import Booking
from jobs.opening.hours import Opening
from jobs.package_hours.queries import hours_of
from jobs.plan.car_queries import (
    Expected,
    booking_key,
    car_name,
    car_to_come,
    panels_to_do,
)
from jobs.plan.car_work import Added
from jobs.plan.fit import (
    DayAsked,
    Days,
    Fit,
    arrival_on,
    assumed,
    clash,
    fit_of,
    fits_of,
)
from jobs.plan.planned import ShopPlan
from jobs.plan.promise import promise_after
from jobs.plan.shop import Car, Part, ShopFacts
from jobs.plan.shop_queries import known_now, shop_facts
from jobs.plan.step_queries import standing_plan, steps_of
from jobs.promises.earliest import earliest_hand_over, work_min
from shopapp.models import Bay, the_shop
from shopapp.say import Say, say

WANTED = frozenset({"package", "panels", "film", "body"})
UNKNOWN = "booking-0"
"""Key of a car that has no booking yet."""
MOMENT = "%Y-%m-%dT%H:%M"
"""As a browser's field for day and time holds it."""
ROOM = timedelta(days=14)
"""A promise far enough not to press, where none is typed."""


@dataclass(frozen=True, kw_only=True)
class Picked:
    """An offer as its button sends it, in the words of the form's fields."""

    arrives_at: str
    bay: str
    promised_at: str

    @classmethod
    def read(cls, text: str) -> Picked | None:
        """What was sent; None for anything else."""
        parts = text.split("|")
        if len(parts) != 3:
            return None
        return cls(arrives_at=parts[0], bay=parts[1], promised_at=parts[2])

    def __str__(self) -> str:
        return f"{self.arrives_at}|{self.bay}|{self.promised_at}"


@dataclass(frozen=True, kw_only=True)
class Offer:
    """A day that fits, as a button says it."""

    fit: Fit
    bay: Bay | None

    @property
    def value(self) -> str:
        """What the button sends: arrival, bay, promise."""
        picked = Picked(
            arrives_at=f"{self.fit.arrives_at:{MOMENT}}",
            bay=str(self.bay.pk) if self.bay else "",
            promised_at=f"{self.fit.promised_at:{MOMENT}}",
        )
        return str(picked)


@dataclass(frozen=True, kw_only=True)
class FitsNow:
    """What the plan says to what is typed.

    offers   days that fit: the next ones, or around the day that was asked for
    asked    what is said of that day; None where none was
    at_once  what is said of a car that is here now; None for one that was booked
    typed    where it fits if it comes as typed; None where no arrival is
    said     what stands against the arrival, the promise and the bay as typed
    assumed  what an offer takes for granted
    alone_at where no day was found: when it were ready if nothing stood in the way
    """

    offers: tuple[Offer, ...] = ()
    asked: DayAsked | None = None
    at_once: DayAsked | None = None
    typed: Fit | None = None
    said: tuple[Say, ...] = ()
    assumed: tuple[Say, ...] = ()
    alone_at: datetime | None = None


def fits_now(
    known: Mapping[str, Any], *, now: datetime, booking: Booking | None = None
) -> FitsNow | None:
    """When the car of a half-filled form fits, or None while too little is known.

    known    cleaned fields of the booking's form
    booking  the booking that is being changed
    """
    if not known.keys() >= WANTED or not known["panels"]:
        return None
    days = _days(known, now=now, booking=booking)
    facts, plan = days.facts, days.standing
    wanted: date | None = known.get("wanted")
    asked = days.asked(wanted) if wanted else None
    if asked:
        found = (asked.fit,) if asked.fit else asked.nearest
    else:
        found = days.next_fits(facts.now.date())
    arrives_at = known.get("arrives_at") or facts.now
    at_once = arrival_on(facts.now.date(), facts=facts)
    car = _car(known, arrives_at, now=now, booking=booking)
    return FitsNow(
        offers=_offers(found),
        alone_at=None if found else _alone(known, at=at_once, opening=facts.opening),
        asked=asked,
        at_once=None if booking else days.at_once(),
        assumed=assumed(facts=facts, standing=plan, car=car),
        **_as_typed(known, facts=facts, plan=plan, car=car),
    )


def fits_together(
    cars: Sequence[Mapping[str, Any]], *, first_on: date, a_day: int, now: datetime
) -> list[Fit | None]:
    """Where cars that come together fit, so many on each open day from the first on.

    cars  cleaned fields of the booking's form, of each car
    """
    facts = shop_facts(now=now)
    day, new = first_on, list[Car]()
    for at, known in enumerate(cars):
        if at and at % a_day == 0:
            day += timedelta(days=1)
        arrives_at = arrival_on(day, facts=facts)
        day = arrives_at.date()
        car = _car(known, arrives_at, now=now, booking=None)
        new.append(replace(car, key=f"{UNKNOWN}-{at}"))
    found = fits_of(facts=facts, standing=standing_plan(), new=tuple(new))
    return [found.get(car.key) for car in new]


def promise_at_once(known: Mapping[str, Any], *, now: datetime) -> datetime | None:
    """An hour to promise for a car that is here now; None while too little is known."""
    if not known.keys() >= WANTED or not known["panels"]:
        return None
    days = _days(known, now=now, booking=None)
    if fit := days.on(days.facts.now.date()):
        return fit.promised_at
    opening = days.facts.opening
    alone = _alone(known, at=days.facts.now, opening=opening)
    return promise_after(alone, opening=opening)


def _days(known: Mapping[str, Any], *, now: datetime, booking: Booking | None) -> Days:
    return Days(
        facts=shop_facts(now=now),
        standing=standing_plan(),
        car_at=partial(_car, _free_of_offer(known), now=now, booking=booking),
    )


def _free_of_offer(known: Mapping[str, Any]) -> Mapping[str, Any]:
    """A bay that came with an offer does not narrow the next ones."""
    bay, offer = known.get("bay"), Picked.read(known.get("offered") or "")
    if bay and offer and offer.bay == str(bay.pk):
        return {**known, "bay": None}
    return known


def clashes_of(booking: Booking, *, now: datetime) -> tuple[Say, ...]:
    """Who is in the bay of a booking when its car comes."""
    if booking.state != Booking.State.BOOKED or booking.bay_id is None:
        return ()
    facts = shop_facts(now=now)
    key = booking_key(booking.pk)
    plan = standing_plan()
    stays = [step for step in steps_of(booking) if step.part is Part.STAY]
    stay = (stays[0].starts_at, stays[0].ends_at) if stays else None
    car = next((car for car in facts.cars if car.key == key), None)
    if car is None:
        return ()
    known = (
        next((each for each in plan.cars if each.car == key), None) if plan else None
    )
    in_time = known is not None and known.ready_at <= car.promised_at
    return clash(facts=facts, standing=plan, car=car, stay=stay, in_time=in_time)


def _as_typed(
    known: Mapping[str, Any], *, facts: ShopFacts, plan: ShopPlan | None, car: Car
) -> dict[str, Any]:
    """Where it fits as typed, and what stands against that."""
    arrives_at, promised_at = known.get("arrives_at"), known.get("promised_at")
    if arrives_at is None:
        return {}
    fit = fit_of(facts=facts, standing=plan, car=car)
    stay = fit.stay if fit else None
    in_time = bool(fit and promised_at and fit.ready_at <= promised_at)
    said = list(clash(facts=facts, standing=plan, car=car, stay=stay, in_time=in_time))
    local = arrives_at.astimezone(facts.now.tzinfo)
    if local.date() < facts.now.date():
        said.insert(0, say("It arrives on {at}: that has passed.", at=local))
    if promised_at and promised_at <= arrives_at:
        said.append(say("The promise lies before the arrival."))
    elif promised_at and fit and fit.ready_at > promised_at:
        said.append(
            say("By the plan it is ready {at}, after the promise.", at=fit.ready_at)
        )
    return {"typed": fit, "said": tuple(said)}


def _alone(known: Mapping[str, Any], *, at: datetime, opening: Opening) -> datetime:
    """With a bay and an installer of its own: a shop without them still sees this."""
    added_min = float(sum(work["minutes"] for work in known.get("added_work", ())))
    work = work_min(
        known["panels"], times=hours_of(known["package"]), added_min=added_min
    )
    alone = earliest_hand_over(
        arrives_at=at,
        work_min=work.value,
        settling=settling_of(known["film"], known["package"]),
        opening=opening,
    )
    return half_hour_up(alone)


def _offers(found: tuple[Fit, ...]) -> tuple[Offer, ...]:
    bays = {f"bay-{bay.pk}": bay for bay in Bay.objects.all()}
    return tuple(Offer(fit=fit, bay=bays.get(fit.bay)) for fit in found)


def _car(
    known: Mapping[str, Any],
    arrives_at: datetime,
    *,
    now: datetime,
    booking: Booking | None,
) -> Car:
    """The car of the form as the plan sees it, for an arrival."""
    bay, name = known.get("bay"), known.get("plate") or ""
    agreed = Expected(
        key=booking_key(booking.pk) if booking else UNKNOWN,
        name=name or (car_name(booking) if booking else ""),
        package=known["package"],
        film=known["film"],
        arrives_at=arrives_at,
        promised_at=max(known.get("promised_at") or arrives_at, arrives_at) + ROOM,
        panels=panels_to_do(known["panels"]),
        added=tuple(
            Added(minutes=work["minutes"], when=work["when"], skill=work["skill"])
            for work in known.get("added_work", ())
        ),
        bay=bay.pk if bay else None,
        people=tuple(known.get("people") or ()),
        day=known.get("film_day"),
        half=known.get("film_half") or "",
    )
    return car_to_come(agreed, known=known_now(now=now, shop=the_shop()))
