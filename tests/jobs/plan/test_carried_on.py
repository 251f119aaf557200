"""A plan carried on while everything goes as planned: nothing moves."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta

from hypothesis import given, settings
from hypothesis import strategies as st

from jobs.cure.dates import settled_at
from jobs.plan.planned import ShopPlan
from jobs.plan.shop import Car, Part, ShopFacts, Work
from jobs.scheduling.problem import Level

from .planning import planned
from .recount import worked
from .shops import (
    MONDAY,
    OVERNIGHT,
    TWO_HOURS,
    bay,
    car,
    cutter,
    settling_place,
    shop,
    wash,
    work,
)

TICK = timedelta(minutes=15)
HOLDS = (Level.CHANGE, Level.LATE, Level.STAY)


def done_by(facts: ShopFacts, plan: ShopPlan, now: datetime) -> ShopFacts:
    """The shop at a later hour, all of it done as planned."""
    cars = (_later(facts, plan, each, now) for each in facts.cars)
    return replace(facts, now=now, cars=tuple(each for each in cars if each))


def _later(facts: ShopFacts, plan: ShopPlan, car: Car, now: datetime) -> Car | None:
    steps = list(plan.steps_of(car.key))
    left = [_left(facts, plan, car, each, now) for each in car.works]
    laid = [step.ends_at for step in steps if step.part is Part.INSTALL]
    spots = {
        step.part: step.spot
        for step in steps
        if step.part in (Part.STAY, Part.PARKED)
        and step.starts_at <= now < step.ends_at
    }
    if not any(left):
        return None
    is_laid = bool(laid) and max(laid) <= now
    until = None
    if is_laid and car.settling:
        last = max(laid).astimezone(facts.now.tzinfo)
        until = settled_at(laid_at=last, settling=car.settling, opening=facts.opening)
    cut = car.cut and _left(facts, plan, car, car.cut, now)
    return replace(
        car,
        works=tuple(each for each in left if each),
        is_here=car.is_here or car.arrives_at <= now,
        bay=spots.get(Part.STAY, ""),
        place=spots.get(Part.PARKED, ""),
        settling=None if is_laid else car.settling,
        settles_until=until or car.settles_until,
        cut=cut,
    )


def _left(
    facts: ShopFacts, plan: ShopPlan, car: Car, todo: Work, now: datetime
) -> Work | None:
    """What is left of a work, and who is at it."""
    steps = [step for step in plan.steps_of(car.key) if step.part is todo.part]
    minutes = timedelta()
    for step in steps:
        for first, last in worked(facts, step):
            minutes += max(timedelta(), last - max(first, now))
    by = [step.people for step in steps if step.starts_at <= now < step.ends_at]
    helped = [
        step.people
        for step in plan.steps_of(car.key)
        if step.part is Part.HELP and step.starts_at <= now < step.ends_at
    ]
    if not minutes:
        return None
    if todo.part is not Part.INSTALL:
        helped = []
    if todo.part is Part.HELP:
        by = []
    return replace(
        todo,
        minutes=minutes // timedelta(minutes=1),
        began=bool(by) and bool(todo.skill),
        by=tuple(key for each in (*by, *helped) for key in each),
    )


@st.composite
def weeks(draw: st.DrawFn) -> ShopFacts:
    is_walled = draw(st.booleans())
    spots = [bay(1), bay(2), cutter()]
    spots += [wash()] if draw(st.booleans()) else []
    spots += [settling_place(room_for=2)] if is_walled else []
    has_wash = any(spot.kind == "wash" for spot in spots)
    in_wash = {"spot": "wash", "in_bay": False} if has_wash else {}
    cars = []
    for number in range(draw(st.integers(1, 5))):
        todo = [
            work(Part.INTAKE, 30),
            work(Part.PREP, 15 * draw(st.integers(1, 16)), **in_wash),
            work(Part.INSTALL, 15 * draw(st.integers(1, 70))),
            work(Part.INSPECTION, 45),
            work(Part.LOOK, 45),
        ]
        if draw(st.booleans()):
            todo.insert(3, work(Part.HELP, 60))
        arrives = MONDAY + TICK * draw(st.integers(0, 100))
        cars.append(
            car(
                number,
                works=tuple(todo),
                arrives_at=arrives,
                promised_at=arrives + TICK * draw(st.integers(30, 500)),
                settling=draw(st.sampled_from([OVERNIGHT, TWO_HOURS])),
                cut=draw(st.sampled_from([None, work(Part.CUT, 60)])),
            )
        )
    return shop(*cars, spots=tuple(spots), settles_in_bay=not is_walled)


@given(facts=weeks(), ticks=st.integers(1, 300))
@settings(max_examples=30, deadline=None)
def test_what_goes_as_planned_moves_nothing(facts, ticks):
    first = planned(facts)
    now = MONDAY + ticks * TICK
    later = done_by(facts, first, now)
    again = planned(later, in_force=first, levels=HOLDS)
    was = {each.car: each.ready_at for each in first.cars}
    assert {c.car: c.ready_at for c in again.cars} == {
        c.key: was[c.key] for c in later.cars
    }
    ahead = {s.key: s for s in first.steps if s.starts_at >= now}
    moved = [s for s in again.steps if s.key in ahead and s != ahead[s.key]]
    assert moved == []


def two_pieces(**film):
    return shop(
        car(
            1,
            works=(work(Part.INSTALL, 15 * 60, **film), work(Part.LOOK, 45)),
            is_here=True,
            bay="bay-1",
        ),
        spots=(bay(1),),
        settles_in_bay=True,
    )


def pieces(plan):
    return [
        (step.part.value, step.number, step.starts_at, step.ends_at - step.starts_at)
        for step in plan.steps_of("booking-1")
        if step.part in (Part.INSTALL, Part.LOOK)
    ]


def test_work_that_should_have_begun_is_not_split_where_it_should_have_ended():
    facts = shop(
        car(1, works=(work(Part.LOOK, 45),), is_here=True, settling=None),
        spots=(bay(1),),
    )
    first = planned(facts)
    later = replace(facts, now=MONDAY + TICK)
    again = planned(later, in_force=first, levels=HOLDS)
    assert pieces(again) == [("look", 0, MONDAY + TICK, 3 * TICK)]


def test_film_work_that_takes_longer_grows_where_it_goes_on():
    facts = two_pieces()
    first = planned(facts)
    who = next(step.people for step in first.steps if step.part is Part.INSTALL)
    was = pieces(first)
    now = MONDAY + 4 * TICK
    # An hour on, nothing of it is done.
    later = replace(two_pieces(began=True, by=who), now=now)
    again = pieces(planned(later, in_force=first, levels=HOLDS))
    assert [each[:2] for each in again] == [each[:2] for each in was]
    assert again[1][3] == was[1][3]
