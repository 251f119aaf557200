"""What no plan can take, and what is odd about a car, in sentences (pure).

Sentences hold keys; a page puts the names in.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from datetime import datetime

from jobs.plan.calendar import is_skipped
from jobs.plan.pieces import Floor
from jobs.plan.shop import Car, Work
from shopapp.say import Say, say

NOBODY = {
    "prep": "Nobody here can prep {car}.",
    "install": "Nobody here can lay the film of {car}.",
    "inspect": "Nobody here can inspect {car}.",
    "any": "Nobody is here to work on {car}.",
}


def refusal(car: Car, floor: Floor) -> Say | None:
    """Why no plan can take a car."""
    if not floor.calendar.count:
        return say(
            "{car} cannot be planned: the shop has no open day ahead.", car=car.key
        )
    stands = car.is_here and car.bay in floor.closed
    in_bay = any(work.in_bay for work in car.works)
    fixed = car.bay in floor.closed and floor.longest_run(car.bay)
    if in_bay and not stands and not fixed and not floor.of_kind(car.bay_kind):
        return say("There is no {kind} for {car}.", kind=car.bay_kind, car=car.key)
    for work in car.works:
        if work.skill is not None and work.people and not floor.able(work.skill):
            return say(NOBODY[work.skill.value], car=car.key)
    return None


def taken(floor: Floor) -> Iterator[Say]:
    """Bays in which a car stands that is ready: nobody has driven it out yet."""
    for spot in floor.facts.spots:
        if spot.ready_car and spot.closed:
            yield say(
                "{car} is ready and still stands in {bay}: planned as free at {at}.",
                car=spot.ready_car,
                bay=spot.key,
                at=spot.closed[0][1],
            )


def held_by(cars: Iterable[Car], *, floor: Floor, said: list[Say]) -> Floor:
    """The floor without the bays in which cars stand that no plan can take."""
    closed = dict(floor.closed)
    for car in cars:
        spot = floor.spots.get(car.bay)
        if car.is_here and spot and spot.room_for == 1:
            closed[car.bay] = ((0, floor.calendar.count),)
            said.append(
                say(
                    "{car} is not in the plan and stands in {bay}: the bay is held.",
                    car=car.key,
                    bay=car.bay,
                )
            )
    return replace(floor, closed=closed)


def odd(car: Car, floor: Floor) -> Iterator[Say]:
    """What is said of a car that is planned all the same."""
    if not car.is_here and car.promised_at <= car.arrives_at:
        yield say(
            "{car} is promised for {promised}, before it comes ({at}).",
            car=car.key,
            promised=car.promised_at,
            at=car.arrives_at,
        )
    for moment in (car.arrives_at, car.promised_at):
        if is_skipped(moment):
            yield _skipped(car, moment, floor)
    for work in car.works:
        yield from _short(car, work, floor)


def _skipped(car: Car, moment: datetime, floor: Floor) -> Say:
    """The clocks go forward over it: the time after the change is meant."""
    return say(
        "{car}: the clocks skip {hour} on {day}; {at} is meant.",
        car=car.key,
        hour=f"{moment:%H:%M}",
        day=moment.date(),
        at=floor.calendar.local(moment),
    )


def _short(car: Car, work: Work, floor: Floor) -> Iterator[Say]:
    """Fewer people, or no such place, than a work asks for."""
    if work.skill is not None and len(floor.able(work.skill)) < work.people:
        yield say(
            "{part} of {car} is planned for {have}, not {want}: no more are here.",
            part=work.part.value,
            car=car.key,
            have=len(floor.able(work.skill)),
            want=work.people,
        )
    if work.spot and not floor.of_kind(work.spot):
        yield say(
            "{part} of {car} is planned without a {kind}: there is none.",
            part=work.part.value,
            car=car.key,
            kind=work.spot,
        )
