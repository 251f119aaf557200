"""One more car in what the standing plan leaves free (pure).

Every other car of that plan stays where it is; cars that it does not know yet are
placed beside the new one. Moments of a `Fit` carry the shop's zone.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Set
from dataclasses import dataclass, field, replace
from datetime import UTC, date, datetime, time, timedelta
from functools import partial

from jobs.cure.dates import settled_at
from jobs.plan.adapter import plan_through
from jobs.plan.planned import ShopPlan, Step
from jobs.plan.promise import promise_after
from jobs.plan.shop import Car, Part, ShopFacts
from jobs.promises.earliest import after_work
from jobs.scheduling import quick_plan
from shopapp.say import Param, Say, say

CarAt = Callable[[datetime], Car]
"""The car as it is for an arrival: its nights are counted from there."""
MOST_TRIES = 8
"""So many days are tried; who has to look further asks for a day."""
BACK_DAYS = 4
"""So many open days before a day that was asked for are looked at."""
DAY, HOUR = timedelta(days=1), timedelta(hours=1)
HALF_HOUR = timedelta(minutes=30)


@dataclass(frozen=True, kw_only=True)
class Fit:
    """Where a car fits.

    bay          key of its bay; "" where it needs none
    begins_at    the work at the car begins
    film_at      the film work begins; None: there is none
    people       keys of those who lay the film
    ready_at     end of the final look
    promised_at  an hour that can be promised for it
    stay         from when until when it is in its bay
    """

    arrives_at: datetime
    bay: str
    begins_at: datetime
    film_at: datetime | None
    people: tuple[str, ...]
    ready_at: datetime
    promised_at: datetime
    stay: tuple[datetime, datetime] | None = None

    @property
    def turn(self) -> date:
        """The day of its turn: where it is prepped long before, the film's."""
        begins, film = self.begins_at.date(), (self.film_at or self.begins_at).date()
        return film if film - begins > DAY else begins


@dataclass(frozen=True, kw_only=True)
class DayAsked:
    """What is said of a day that a customer asks for.

    fit      None where the car does not fit on it
    why_not  the reason, in sentences
    nearest  days that fit, before and after it
    """

    day: date
    fit: Fit | None = None
    why_not: tuple[Say, ...] = ()
    nearest: tuple[Fit, ...] = ()


def fit_of(*, facts: ShopFacts, standing: ShopPlan | None, car: Car) -> Fit | None:
    """Where one car fits if it comes when it says; None: nowhere."""
    return fits_of(facts=facts, standing=standing, new=(car,)).get(car.key)


def fits_of(
    *, facts: ShopFacts, standing: ShopPlan | None, new: tuple[Car, ...]
) -> dict[str, Fit]:
    """Where each of these fits beside the others; one that fits nowhere is left out.

    standing  the plan that stays; None: there is none, all cars are placed
    """
    keys = {car.key for car in new}
    others = tuple(each for each in facts.cars if each.key not in keys)
    fixed = _only(standing, {each.key for each in others}) if standing else None
    whole = replace(facts, cars=(*others, *new))
    compiled, found = plan_through(
        whole, search=partial(quick_plan, seconds=0), fixed=fixed
    )
    plan = compiled.read(found)
    ready = {each.car: each.ready_at for each in plan.cars}
    return {
        car.key: _fit(car, plan, ready_at=ready[car.key], facts=facts)
        for car in new
        if car.key in ready
    }


def _fit(car: Car, plan: ShopPlan, *, ready_at: datetime, facts: ShopFacts) -> Fit:
    zone = facts.now.tzinfo
    steps = [step for step in plan.steps_of(car.key) if step.part is not Part.CUT]
    film = [step for step in steps if step.part is Part.INSTALL]
    stay = next((step for step in steps if step.part is Part.STAY), None)
    ready_at = ready_at.astimezone(zone)
    return Fit(
        arrives_at=car.arrives_at.astimezone(zone),
        bay=stay.spot if stay else "",
        stay=(stay.starts_at, stay.ends_at) if stay else None,
        begins_at=steps[0].starts_at.astimezone(zone),
        film_at=film[0].starts_at.astimezone(zone) if film else None,
        people=film[0].people if film else (),
        ready_at=ready_at,
        promised_at=promise_after(ready_at, opening=facts.opening),
    )


def _only(plan: ShopPlan, cars: Set[str]) -> ShopPlan:
    """The plan of these cars: one that has left or was cancelled is in no way."""
    return replace(
        plan,
        steps=tuple(step for step in plan.steps if step.car in cars),
        cars=tuple(each for each in plan.cars if each.car in cars),
    )


@dataclass(kw_only=True)
class Days:
    """Where the car fits, day by day; each day is planned once.

    facts     the shop
    standing  the plan that stays
    car_at    the car, for an arrival
    """

    facts: ShopFacts
    standing: ShopPlan | None
    car_at: CarAt
    _known: dict[date, Fit | None] = field(default_factory=dict)

    def on(self, day: date) -> Fit | None:
        """Where it fits if it comes on this day, or the next open one."""
        arrives_at = arrival_on(day, facts=self.facts)
        if arrives_at.date() not in self._known:
            self._known[arrives_at.date()] = fit_of(
                facts=self.facts, standing=self.standing, car=self.car_at(arrives_at)
            )
        return self._known[arrives_at.date()]

    def is_worth(self, fit: Fit) -> bool:
        """Whether it would be ready later if it came a day later."""
        later = self.on(fit.arrives_at.date() + DAY)
        return later is None or fit.ready_at < later.ready_at

    def next_fits(self, first_day: date, *, most: int = 3) -> tuple[Fit, ...]:
        """The next days on which nothing keeps it waiting."""
        found: list[Fit] = []
        day = first_day
        for _ in range(MOST_TRIES):
            fit = self.on(day)
            if fit is None:
                break
            day = fit.arrives_at.date() + DAY
            if self.is_worth(fit):
                found.append(fit)
            else:
                day = max(day, self._last_as_soon(fit))
            if len(found) == most:
                break
        return tuple(found)

    def _last_as_soon(self, fit: Fit) -> date:
        """The last day, up to that of its turn, from which it is ready as soon."""
        day = fit.turn
        while day > fit.arrives_at.date():
            later = self.on(day)
            if later and later.ready_at <= fit.ready_at:
                break
            day -= DAY
        return day

    def asked(self, day: date) -> DayAsked:
        """Whether it can come on this day; else why not, and the nearest days."""
        why_not = _never(day, facts=self.facts)
        fit = None if why_not else self.on(day)
        if fit and self.is_worth(fit):
            return DayAsked(day=day, fit=fit)
        before = next(self._fits_before(day), None)
        after = self.next_fits(max(day + DAY, self.facts.now.date()), most=2)
        return DayAsked(
            day=day,
            why_not=why_not or self._why_not(day),
            nearest=(*((before,) if before else ()), *after),
        )

    def at_once(self) -> DayAsked:
        """A car at the door: when it is ready, and what keeps it waiting."""
        today = self.facts.now.date()
        fit, waits = self.on(today), _never(today, facts=self.facts)
        if not waits and not (fit and self.is_worth(fit)):
            waits = self._why_not(today)
        return DayAsked(day=today, fit=fit, why_not=waits)

    def _fits_before(self, day: date) -> Iterator[Fit]:
        for on in _days_before(day, facts=self.facts):
            fit = self.on(on)
            if fit and self.is_worth(fit):
                yield fit

    def _why_not(self, day: date) -> tuple[Say, ...]:
        car = self.car_at(arrival_on(day, facts=self.facts))
        return _why_not(facts=self.facts, standing=self.standing, car=car, on=day)


def arrival_on(day: date, *, facts: ShopFacts) -> datetime:
    """Opening on this day or the next open one; today the next half hour."""
    now = facts.now
    opens = facts.opening.opening_on(max(day, now.date()), like=now)
    if opens >= now:
        return opens
    hours = facts.opening.hours_on(now.date())
    half_hours = -(-(now - opens) // HALF_HOUR)
    soon = (opens.astimezone(UTC) + half_hours * HALF_HOUR).astimezone(now.tzinfo)
    if hours and soon.date() == now.date() and soon.time() < hours.closes_at:
        return soon
    return facts.opening.opening_on(now.date() + DAY, like=now)


def _days_before(day: date, *, facts: ShopFacts) -> Iterator[date]:
    """Open days before this one, the nearest first, not before today."""
    left = BACK_DAYS
    on = day - DAY
    while left and on >= facts.now.date():
        if facts.opening.hours_on(on) and arrival_on(on, facts=facts).date() == on:
            yield on
            left -= 1
        on -= DAY


def _never(day: date, *, facts: ShopFacts) -> tuple[Say, ...]:
    if day < facts.now.date():
        return (say("{day} has passed.", day=day),)
    if facts.opening.hours_on(day) is None:
        name = facts.opening.holidays.get(day, "")
        why = f" ({name})" if name else ""
        return (say("The shop is closed on {day}{why}.", day=day, why=why),)
    if arrival_on(day, facts=facts).date() != day:
        hours = facts.opening.hours_on(day)
        if hours and facts.now.time() >= hours.closes_at:
            return (say("The shop is closed for today."),)
        return (say("The shop closes soon today."),)
    return ()


def _why_not(
    *, facts: ShopFacts, standing: ShopPlan | None, car: Car, on: date
) -> tuple[Say, ...]:
    """Which cars hold the bays on this day; else nobody is free."""
    zone = facts.now.tzinfo
    start, end = (
        datetime.combine(on + timedelta(days=ahead), time(), tzinfo=zone)
        for ahead in (0, 1)
    )
    bays = [
        spot
        for spot in facts.spots
        if spot.kind == car.bay_kind and car.bay in ("", spot.key)
    ]
    if not bays:
        return (say("There is no bay for it."),)
    taken = []
    for spot in bays:
        held = _held(facts=facts, standing=standing, bay=spot.key, beside=car.key)
        mine = [each for each in held if each.since < end and each.until > start]
        if not mine:
            return (say("Nobody is free for its work on {day}.", day=on),)
        taken.append(_taken(spot.name, mine[-1], since=car.arrives_at))
    return (say("No bay has room on {day}.", day=on), *taken)


@dataclass(frozen=True, kw_only=True, order=True)
class Held:
    """A car in a bay."""

    since: datetime
    until: datetime
    car: Car = field(compare=False)


def clash(
    *,
    facts: ShopFacts,
    standing: ShopPlan | None,
    car: Car,
    stay: tuple[datetime, datetime] | None = None,
    in_time: bool = False,
) -> tuple[Say, ...]:
    """Which cars are in the bay that was chosen for this one, and until when.

    stay     when a plan has it there; counts where that begins on the day it comes,
             or where it is ready in time all the same: it is prepped elsewhere
    in_time  whether that plan keeps its promise

    Until a plan knows it, a car that leaves on that day is in nobody's way.
    """
    if not car.bay:
        return ()
    arrives = car.arrives_at.astimezone(facts.now.tzinfo)
    since, until = _as_booked(car, facts=facts)
    tonight = arrives.replace(hour=0, minute=0) + DAY
    if stay:
        begins = stay[0].astimezone(facts.now.tzinfo).date()
        if in_time or begins == arrives.date():
            since, until = stay
    name = next((spot.name for spot in facts.spots if spot.key == car.bay), car.bay)
    return tuple(
        _taken(name, held, since=arrives)
        for held in _held(facts=facts, standing=standing, bay=car.bay, beside=car.key)
        if _same_hour(held.car, car)
        or (
            held.since < until and held.until > since and (stay or held.until > tonight)
        )
    )


def _same_hour(one: Car, other: Car) -> bool:
    """Whether both were booked into one bay for one hour."""
    apart = abs(one.arrives_at - other.arrives_at)
    return one.bay == other.bay and not one.is_here and apart < HOUR


def _taken(bay: str, held: Held, *, since: datetime) -> Say:
    who: dict[str, Param] = {"bay": bay, "car": held.car.name, "until": held.until}
    if held.since <= since:
        return say("{bay} is taken on {at} by {car} until {until}.", at=since, **who)
    return say(
        "{bay} is taken from {start} by {car} until {until}.", start=held.since, **who
    )


def _held(
    *, facts: ShopFacts, standing: ShopPlan | None, bay: str, beside: str
) -> list[Held]:
    """Who is in a bay when: by the plan, else as it was booked."""
    cars = {car.key: car for car in facts.cars if car.key != beside}
    known = {each.car for each in standing.cars} if standing else set()
    steps: tuple[Step, ...] = standing.steps if standing else ()
    found = [
        Held(since=step.starts_at, until=step.ends_at, car=cars[step.car])
        for step in steps
        if step.part is Part.STAY and step.spot == bay and step.car in cars
    ]
    found += [
        Held(since=since, until=until, car=car)
        for car in cars.values()
        if car.bay == bay and car.key not in known
        for since, until in (_as_booked(car, facts=facts),)
    ]
    return sorted(found)


def _as_booked(car: Car, *, facts: ShopFacts) -> tuple[datetime, datetime]:
    """Its stay in the bay if it is begun with when it comes."""
    arrives = car.arrives_at.astimezone(facts.now.tzinfo)
    apart = {Part.LOOK, Part.HELP}
    minutes = sum(work.minutes for work in car.works if work.part not in apart)
    until = after_work(arrives, minutes=minutes, opening=facts.opening)
    if facts.settles_in_bay and car.settling:
        until = settled_at(laid_at=until, settling=car.settling, opening=facts.opening)
    return arrives, until


def assumed(
    *, facts: ShopFacts, standing: ShopPlan | None, car: Car
) -> tuple[Say, ...]:
    """What an offer takes for granted."""
    as_of = standing.as_of if standing else facts.now
    at = say("As the plan stands at {at}.", at=as_of.astimezone(facts.now.tzinfo))
    names = {hand.key: hand.name for hand in facts.hands}
    helped_min = sum(work.minutes for work in car.works if work.part is Part.HELP)
    if car.people:
        by = ", ".join(names.get(key, key) for key in car.people)
        who = say("Film work by {people}.", people=by)
    elif helped_min:
        who = say(
            "Film work by one installer, {hours} h of it with a second person.",
            hours=f"{helped_min / 60:g}",
        )
    else:
        who = say("Film work by one installer.")
    return at, who, say("It counts on the film being in stock.")
