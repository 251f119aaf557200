"""What a car moved like this would mean, before it is moved (pure)."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import datetime

from jobs.plan.fit import Fit, clash, fit_of
from jobs.plan.planned import ShopPlan
from jobs.plan.shop import Car, ShopFacts
from shopapp.say import Say, say


@dataclass(frozen=True, kw_only=True)
class Look:
    """What is in the way, and where the car comes to lie while all others stay."""

    clashes: tuple[Say, ...] = ()
    found: tuple[Say, ...] = ()


def look_at(*, facts: ShopFacts, standing: ShopPlan | None, car: Car) -> Look:
    """The car as it is to be fixed, beside the plan as it stands."""
    fit = fit_of(facts=facts, standing=standing, car=car)
    said = [*_away(car, facts), *_taken(car, facts, standing)]
    if fit is None:
        said.append(say("It fits nowhere like this while the other cars stay."))
    elif fit.film_at and car.not_after and fit.film_at >= car.not_after:
        said.append(say("Film work cannot begin then while the other cars stay."))
    if fit is not None and fit.ready_at > car.promised_at:
        said.append(
            say("It would be ready after its promise, {at}.", at=car.promised_at)
        )
    return Look(clashes=tuple(said), found=tuple(_found(fit)) if fit else ())


def _found(fit: Fit) -> Iterator[Say]:
    if fit.film_at is None:
        yield say("While the other cars stay: ready {ready}.", ready=fit.ready_at)
        return
    yield say(
        "While the other cars stay: film work {at} in {bay} by {people},"
        " ready {ready}.",
        at=fit.film_at,
        bay=fit.bay,
        people=", ".join(fit.people),
        ready=fit.ready_at,
    )


def _away(car: Car, facts: ShopFacts) -> Iterator[Say]:
    if car.not_before is None or car.not_after is None:
        return
    hands = {hand.key: hand for hand in facts.hands}
    for key in car.people:
        away = hands[key].away if key in hands else ()
        if any(
            start <= max(car.not_before, facts.now) and end >= _closing(car, facts)
            for start, end in away
        ):
            yield say("{people} is away then.", people=key)


def _closing(car: Car, facts: ShopFacts) -> datetime:
    """The end of work in the stretch that was fixed."""
    assert car.not_before is not None
    assert car.not_after is not None
    day = car.not_before.astimezone(facts.now.tzinfo)
    hours = facts.opening.hours_on(day.date())
    if hours is None:
        return car.not_after
    closes = datetime.combine(day.date(), hours.closes_at, tzinfo=day.tzinfo)
    return min(car.not_after, closes)


def _taken(car: Car, facts: ShopFacts, standing: ShopPlan | None) -> tuple[Say, ...]:
    """Which cars are in the bay that was chosen, from when this one wants it."""
    wants = max(car.arrives_at, facts.now)
    if car.not_before:
        opens = facts.opening.opening_on(
            car.not_before.astimezone(facts.now.tzinfo).date(), like=facts.now
        )
        wants = max(wants, car.not_before, opens)
    wanting = replace(car, arrives_at=wants)
    return clash(facts=facts, standing=standing, car=wanting)
