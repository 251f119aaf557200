"""Whatever is fixed, begun or closed at once: no exception, and a plan that holds."""

from __future__ import annotations

from dataclasses import replace
from random import Random

import pytest

from jobs.plan.adapter import plan_through
from jobs.plan.planned import ShopPlan
from jobs.plan.shop import Car, Part, ShopFacts, Spot

from .planning import by_rules
from .recount import complaints
from .shops import (
    MONDAY,
    OVERNIGHT,
    TWO_HOURS,
    at,
    bay,
    car,
    cutter,
    hand,
    settling_place,
    shop,
    wash,
    work,
)

PEOPLE = ("person-1", "person-2", "person-3")


def wild_car(chance: Random, number: int, *, has_wash: bool) -> Car:
    """A car in any stage, fixed in any way."""
    in_wash = {"spot": "wash", "in_bay": False} if has_wash else {}
    todo = [
        work(Part.INTAKE, 25),
        work(Part.PREP, chance.randint(10, 300), **in_wash),
        work(Part.INSTALL, chance.randint(15, 900)),
        work(Part.HELP, chance.choice([60, 240])),
        work(Part.INSPECTION, 38),
        work(Part.LOOK, 43),
    ]
    is_here = chance.random() < 0.5
    if is_here:
        todo = todo[chance.choice([0, 1, 2, 4, 5]) :]
        by = tuple(chance.sample(PEOPLE, chance.randint(0, 2)))
        todo[0] = replace(todo[0], began=chance.random() < 0.7, by=by)
    day = chance.randint(0, 6)
    arrives = at(0, 12) + chance.randint(-20, 50) * (at(0, 9) - at(0, 8))
    return car(
        number,
        works=tuple(todo),
        is_here=is_here,
        is_paused=is_here and chance.random() < 0.2,
        arrives_at=arrives,
        promised_at=arrives + chance.randint(-20, 120) * (at(0, 9) - at(0, 8)),
        settling=chance.choice([OVERNIGHT, TWO_HOURS, None]),
        settles_until=chance.choice([None, at(0, 3), at(1, 3)]),
        bay=chance.choice(["", "bay-1", "bay-2", "bay-9"]),
        place=chance.choice(["", "place-9", "place-1"]) if is_here else "",
        people=tuple(chance.sample(PEOPLE, chance.randint(0, 2))),
        not_before=chance.choice([None, at(day, 0)]),
        not_after=chance.choice([None, at(day, 12)]),
        cut=chance.choice([None, work(Part.CUT, 50)]),
    )


def wild_shop(seed: int) -> ShopFacts:
    chance = Random(seed)
    is_shut = chance.random() < 0.3
    spots: list[Spot] = [
        bay(1, closed=((at(0, 12), at(2, 9)),) if is_shut else ()),
        bay(2),
        cutter(),
    ]
    has_wash = chance.random() < 0.4
    spots += [wash()] if has_wash else []
    spots += [settling_place(room_for=1)] if chance.random() < 0.5 else []
    gone = ((at(0, 14), at(2, 11)),)
    hands = tuple(
        hand(number, away=gone if chance.random() < 0.4 else ()) for number in (1, 2, 3)
    )
    return shop(
        *(
            wild_car(chance, number, has_wash=has_wash)
            for number in range(chance.randint(1, 5))
        ),
        spots=tuple(spots),
        hands=hands,
        settles_in_bay=chance.random() < 0.5,
        now=chance.choice([MONDAY, at(0, 9, 40), at(0, 3)]),
    )


def held(facts: ShopFacts, **more: ShopPlan) -> ShopPlan:
    compiled, plan = plan_through(facts, search=by_rules, **more)
    found = compiled.read(plan)
    # Whoever is at work on a car is taken as they are: how many, and what they know.
    odd = [
        each
        for each in complaints(facts, found)
        if "is done by" not in each and "cannot do it" not in each
    ]
    assert odd == []
    assert found.unplaced == ()
    return found


@pytest.mark.parametrize("seed", range(16))
def test_a_wild_shop_has_a_plan_of_all_its_cars(seed):
    facts = wild_shop(seed)
    first = held(facts)
    held(replace(facts, now=at(0, 11)), in_force=first)
    more = replace(facts, cars=(*facts.cars, car(99)))
    beside = held(more, fixed=first)
    assert [each for each in beside.steps if each.car != "booking-99"] == list(
        first.steps
    )
