"""What a person fixed for a car: its day, its bay, who works on it (pure).

A wish that nothing can meet is given up, and said.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

from jobs.plan.building import within
from jobs.plan.chain import Chain
from jobs.plan.pieces import Floor
from jobs.plan.pins import times_of
from jobs.plan.shop import Car, Part
from jobs.scheduling.problem import Activity, Interval
from shopapp.say import say


def is_fixed(car: Car) -> bool:
    """Whether a person fixed its day, or before it comes its bay or its people."""
    return bool(
        car.not_before or car.not_after or (not car.is_here and (car.bay or car.people))
    )


def without_day(car: Car) -> Car:
    """A car whose film work may begin whenever it can."""
    return replace(car, not_before=None, not_after=None)


def without_wishes(car: Car, *, keeps_bay: bool) -> Car:
    """A car for which nothing is fixed, but for where it stands.

    keeps_bay  no other bay would do
    """
    bay = car.bay if car.is_here or keeps_bay else ""
    return replace(without_day(car), bay=bay, people=())


def wish_day(chain: Chain, *, floor: Floor) -> None:
    """The film work begins in its stretch, as far as anything allows it."""
    car, film = chain.car, chain.keys_of(Part.INSTALL)
    wanted = car.not_before or car.not_after
    if wanted is None or not film or chain.pieces[film[0]].work.began:
        return
    activity = chain.activities[film[0]]
    starts = activity.starts or ((0, floor.calendar.count),)
    low = floor.calendar.ceil(car.not_before) if car.not_before else 0
    high = floor.calendar.ceil(car.not_after) if car.not_after else floor.calendar.count
    asked = within(starts, low, high)
    soonest = times_of(chain)[film[0]][0]
    if any(_can_begin(activity, each, soonest, floor) for each in asked):
        chain.activities[film[0]] = replace(activity, starts=asked)
        return
    later = within(starts, low, floor.calendar.count)
    chain.activities[film[0]] = replace(activity, starts=later or starts)
    if max(soonest, low) < floor.calendar.count:
        chain.assumed.append(
            say(
                "The film work of {car} cannot begin in the time fixed for it, from"
                " {at} on: it is planned for the next time that can be.",
                car=car.key,
                at=_first_open(wanted, floor=floor),
            )
        )


def _first_open(wanted: datetime, *, floor: Floor) -> datetime:
    """When the shop opens on a fixed day: nobody reads "from 00:00 on"."""
    local = floor.calendar.local(wanted)
    opens = floor.calendar.opening.opening_on(local.date(), like=local)
    return max(local, opens) if opens.date() == local.date() else local


def _can_begin(activity: Activity, asked: Interval, soonest: int, floor: Floor) -> bool:
    """Whether enough people are there for it at some tick of the stretch."""
    return any(
        all(
            sum(
                floor.is_free(one.resource, start, start + activity.size)
                for one in need.choices
            )
            >= need.count
            for need in activity.needs
        )
        for start in range(max(asked[0], soonest), asked[1])
    )


def say_unknown(chain: Chain, *, floor: Floor) -> None:
    """What was fixed and is not there: a bay, a person, a person without the skill."""
    car = chain.car
    if car.bay and car.bay not in floor.closed:
        chain.assumed.append(
            say("{bay}, fixed for {car}, is not there.", bay=car.bay, car=car.key)
        )
    film = chain.keys_of(Part.INSTALL)
    if not car.people or not film:
        return
    needs = chain.activities[film[0]].needs
    choices = {one.resource for need in needs[:1] for one in need.choices}
    missing = tuple(key for key in car.people if key not in choices)
    if missing:
        chain.assumed.append(
            say(
                "{people}, fixed for the film work of {car}, is not here or does no "
                "film work.",
                people=", ".join(missing),
                car=car.key,
            )
        )
