"""Why the plan in force does not hold any more, so that another is proposed (pure).

Beside it stands the plan carried on to now: what that one moves was not planned. A
cause that was answered once is not answered again as long as it lasts.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from datetime import datetime

from jobs.plan.calendar import opening_min
from jobs.plan.moves import FilmWork, film_works
from jobs.plan.planned import Cause, ShopPlan, Step, Why
from jobs.plan.shop import Away, Car, Part, ShopFacts
from jobs.plan.words import HELD
from shopapp.say import Say, say

OVERRUN_MIN = 60
"""Work that ends later than planned by more opening minutes moves others too.

Less is caught up within the spread of the estimates, and by whoever is free first; to
propose another plan each time would only teach people not to look. Common practice, no
published source.
"""
LASTING = frozenset({Why.AWAY, Why.CLOSED, Why.FIXED})
"""Over as soon as it is taken back. The others come and go with each quarter hour."""


def causes(
    plan: ShopPlan, *, standing: ShopPlan, facts: ShopFacts
) -> tuple[Cause, ...]:
    """What the plan in force did not know.

    standing  it, carried on to these facts
    """
    todo = {step.key: step for step in standing.steps}
    found = [
        *_away(plan, todo=todo, facts=facts),
        *_closed(plan, todo=todo, facts=facts),
        *_fixed(plan, standing=standing, facts=facts),
    ]
    told = {cause.car for cause in found}
    found += [
        cause
        for cause in _overrun(plan, standing=standing, facts=facts)
        if cause.why is not Why.PUSHED or cause.car not in told
    ]
    return tuple(dict.fromkeys(found))


def gained(standing: ShopPlan, better: ShopPlan) -> tuple[Cause, ...]:
    """Cars that are late as it stands and need not be."""
    late = set(late_cars(standing))
    in_time = {car.car for car in better.cars} - set(late_cars(better))
    return tuple(Cause(why=Why.GAINED, car=car) for car in sorted(late & in_time))


def late_cars(plan: ShopPlan) -> Iterator[str]:
    """Keys of the cars that are late."""
    return (car.car for car in plan.cars if car.standing == "late")


def remembered(met: Iterable[Cause], known: Iterable[Cause]) -> tuple[Cause, ...]:
    """What counts as answered from now on; what was taken back is forgotten."""
    kept = (cause for cause in known if cause.why not in LASTING)
    return tuple(dict.fromkeys((*kept, *met)))


def is_over(because: Iterable[Cause], met: Iterable[Cause]) -> bool:
    """Whether something was taken back that a proposal was made because of."""
    return bool({each for each in because if each.why in LASTING} - {*met})


def with_clashes_kept(
    found: ShopPlan, *, plan: ShopPlan, met: Iterable[Cause]
) -> ShopPlan:
    """What the search said of cars that cannot all be in time, while it still holds.

    plan  the plan in force, in which the search found it
    """
    is_same = set(late_cars(found)) == set(late_cars(plan))
    gone = {car.car for car in plan.cars} - {car.car for car in found.cars}
    named = {
        key
        for each in plan.clashes
        for _, value in each.params
        for key in (value.split(", ") if isinstance(value, str) else ())
    }
    if not is_same or named & gone or any(each.why in LASTING for each in met):
        return found
    return replace(found, clashes=plan.clashes)


SAID: dict[Why, str] = {
    Why.AWAY: "{about} is not there for {car}.",
    Why.CLOSED: "{about} is no longer in use.",
    Why.FIXED: "{car} was fixed otherwise than planned.",
    Why.LATE: "{car} would be late as it stands.",
    Why.PUSHED: "Work on {car} ends more than an hour later than planned.",
    Why.OUT: "{car} fits nowhere as it stands.",
    Why.GAINED: "{car} can be in time again.",
}


def said_of(cause: Cause) -> Say:
    """The cause in a sentence; it holds keys."""
    return say(SAID[cause.why], car=cause.car, about=cause.about)


def told(because: Iterable[Cause]) -> tuple[Say, ...]:
    """What comes first in sentences: the rest follows from it."""
    known = tuple(because)
    first = tuple(each for each in known if each.why in LASTING)
    late = tuple(each for each in known if each.why is not Why.PUSHED)
    return tuple(said_of(each) for each in first or late or known)


def _away(
    plan: ShopPlan, *, todo: dict[str, Step], facts: ShopFacts
) -> Iterator[Cause]:
    """Who is not there for work that has not begun."""
    away = {hand.key: hand.away for hand in facts.hands}
    begun = {
        (car.key, work.part) for car in facts.cars for work in car.works if work.began
    }
    for step in plan.steps:
        is_ahead = step.key in todo and (step.car, step.part) not in begun
        for key in step.people if is_ahead else ():
            if key not in away or _misses(away[key], step, facts):
                yield Cause(why=Why.AWAY, car=step.car, about=key)


def _misses(away: Away, step: Step, facts: ShopFacts) -> bool:
    """Whether these hours take something of the step, from now on, in opening time."""
    zone = facts.now.tzinfo
    begins = max(step.starts_at, facts.now).astimezone(zone)
    ends = step.ends_at.astimezone(zone)
    return begins < ends and any(
        first < until and since < last
        for since, until in facts.opening.pieces(begins, ends)
        for first, last in away
    )


def _closed(
    plan: ShopPlan, *, todo: dict[str, Step], facts: ShopFacts
) -> Iterator[Cause]:
    """Bays and places that are no longer there."""
    known = {spot.key for spot in facts.spots} | {""}
    for step in plan.steps:
        if step.spot not in known and step.key in todo and step.ends_at > facts.now:
            yield Cause(why=Why.CLOSED, about=step.spot)


def _fixed(plan: ShopPlan, *, standing: ShopPlan, facts: ShopFacts) -> Iterator[Cause]:
    """Cars that were fixed otherwise, where that can be kept."""
    was, now = film_works(plan), film_works(standing)
    for car in facts.cars:
        if car.key not in was or car.key not in now or _has_begun(car):
            continue
        if not _keeps(was[car.key], car) and _keeps(now[car.key], car):
            yield Cause(why=Why.FIXED, car=car.key, about=_wish(car))


def _has_begun(car: Car) -> bool:
    return any(work.began for work in car.works if work.part is Part.INSTALL)


def _keeps(work: FilmWork, car: Car) -> bool:
    """Whether the film work is where, when and by whom a person fixed it."""
    return (
        (not car.bay or car.is_here or work.bay == car.bay)
        and (car.not_before is None or work.starts_at >= car.not_before)
        and (car.not_after is None or work.starts_at < car.not_after)
        and (not car.people or set(work.people) <= set(car.people))
    )


def _wish(car: Car) -> str:
    """Tells two wishes apart."""
    days = (car.not_before, car.not_after)
    told = [each.isoformat() if each else "" for each in days]
    return " ".join((*told, car.bay, *sorted(car.people)))


def _overrun(
    plan: ShopPlan, *, standing: ShopPlan, facts: ShopFacts
) -> Iterator[Cause]:
    """Cars that come out late, or whose work ends much later than planned."""
    were_late, late = set(late_cars(plan)), set(late_cars(standing))
    out = {car for car, _ in standing.unplaced}
    was, now = _ends(plan), _ends(standing)
    for car in plan.cars:
        key = car.car
        if key in out:
            yield Cause(why=Why.OUT, car=key)
        elif key in late - were_late:
            yield Cause(why=Why.LATE, car=key)
        elif _most_later(was.get(key, {}), now.get(key, {}), facts) > OVERRUN_MIN:
            yield Cause(why=Why.PUSHED, car=key)


Ends = dict[Part, datetime]


def _ends(plan: ShopPlan) -> dict[str, Ends]:
    """When each part of the work on each car ends."""
    found: dict[str, Ends] = {}
    for step in plan.steps:
        if step.part not in HELD | {Part.HELP, Part.SETTLING}:
            ends = found.setdefault(step.car, {})
            ends[step.part] = max(step.ends_at, ends.get(step.part, step.ends_at))
    return found


def _most_later(was: Ends, now: Ends, facts: ShopFacts) -> int:
    """Opening minutes by which the part that is pushed most ends later."""
    zone = facts.now.tzinfo
    assert zone is not None
    later = (
        opening_min(facts.opening, zone=zone, since=was[part], until=now[part])
        for part in was.keys() & now.keys()
        if was[part] < now[part]
    )
    return max(later, default=0)
