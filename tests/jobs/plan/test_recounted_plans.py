"""Small shops made up by chance: each plan holds when it is counted in real moments."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta

from hypothesis import given, settings
from hypothesis import strategies as st

from jobs.opening.hours import Hours, Opening
from jobs.plan.shop import Car, Hand, Part, ShopFacts, Skill, Spot

from .planning import planned
from .shops import (
    CHICAGO,
    OVERNIGHT,
    TWO_HOURS,
    bay,
    cutter,
    settling_place,
    wash,
    work,
)

WEEKENDS = [date(2026, 3, 6), date(2026, 10, 30), date(2026, 6, 5)]
"""Fridays before the clocks go forward, before they go back, and a usual one."""


@st.composite
def openings(draw: st.DrawFn) -> Opening:
    opens = draw(st.sampled_from([time(8), time(7, 50), time(9, 5), time(1, 30)]))
    closes = draw(st.sampled_from([time(16), time(17, 10), time(18)]))
    saturday = draw(
        st.sampled_from([None, Hours(opens_at=time(8), closes_at=time(13))])
    )
    sunday = draw(
        st.sampled_from([None, None, Hours(opens_at=time(1, 20), closes_at=time(6))])
    )
    holiday = draw(st.sampled_from([(), (3,), (3, 4)]))
    first = draw(st.sampled_from(WEEKENDS))
    return Opening(
        opens_at=opens,
        closes_at=closes,
        other={5: saturday, 6: sunday},
        holidays={first + timedelta(days=each): "holiday" for each in holiday},
    )


@st.composite
def cars(draw: st.DrawFn, number: int, now: datetime, spots: list[Spot]) -> Car:
    kinds = {spot.kind for spot in spots}
    arrives = now + timedelta(minutes=draw(st.integers(0, 60 * 24 * 4)))
    prep_place = {"spot": "wash", "in_bay": False} if "wash" in kinds else {}
    todo = [
        work(Part.INTAKE, draw(st.integers(1, 60))),
        work(Part.PREP, draw(st.integers(1, 240)), **prep_place),
        work(Part.INSTALL, draw(st.integers(15, 900))),
        work(Part.INSPECTION, 38),
        work(Part.LOOK, 43),
    ]
    if draw(st.booleans()):
        todo.insert(3, work(Part.HELP, draw(st.sampled_from([60, 240]))))
    is_here = draw(st.booleans())
    done = draw(st.integers(0, 3)) if is_here else 0
    return Car(
        key=f"booking-{number}",
        name=f"KTR {number}",
        arrives_at=arrives,
        promised_at=arrives + timedelta(hours=draw(st.integers(1, 150))),
        works=tuple(todo[done:]),
        is_here=is_here,
        is_paused=draw(st.booleans()) and is_here,
        cut=draw(st.sampled_from([None, work(Part.CUT, 50)])),
        settling=draw(st.sampled_from([OVERNIGHT, TWO_HOURS, None])),
        ready_from=draw(st.sampled_from([None, arrives + timedelta(days=1)])),
        weight=draw(st.sampled_from([1, 4])),
    )


@st.composite
def shops(draw: st.DrawFn) -> ShopFacts:
    opening = draw(openings())
    friday = draw(st.sampled_from(WEEKENDS))
    now = datetime.combine(friday, time(draw(st.integers(0, 23)), 7), tzinfo=CHICAGO)
    spots = [bay(1), *draw(st.sampled_from([[], [bay(2)]])), cutter()]
    spots += draw(st.sampled_from([[], [wash()]]))
    spots += draw(st.sampled_from([[], [settling_place()]]))
    hands = []
    for number in range(1, draw(st.integers(1, 3)) + 1):
        start = now + timedelta(hours=draw(st.integers(-5, 60)))
        away = ((start, start + timedelta(hours=draw(st.integers(1, 40)))),)
        skills = frozenset(Skill) if number == 1 else frozenset({Skill.ANY, Skill.PREP})
        hands.append(
            Hand(
                key=f"person-{number}",
                name=f"Hand {number}",
                skills=draw(st.sampled_from([frozenset(Skill), skills])),
                away=draw(st.sampled_from([(), away])),
            )
        )
    return ShopFacts(
        now=now,
        opening=opening,
        spots=tuple(spots),
        hands=tuple(hands),
        cars=tuple(
            draw(cars(number, now, spots)) for number in range(draw(st.integers(1, 4)))
        ),
        settles_in_bay=draw(st.booleans()),
    )


@given(facts=shops())
@settings(max_examples=40, deadline=None)
def test_a_plan_read_back_holds_in_real_moments(facts):
    found = planned(facts)
    assert {each.car for each in found.cars} == {car.key for car in facts.cars}


@given(facts=shops())
@settings(max_examples=15, deadline=None)
def test_a_plan_carried_on_with_nothing_changed_moves_nothing(facts):
    first = planned(facts)
    again = planned(facts, in_force=first)
    change = next(each for each in again.reached if each.level == "change")
    late = [plan.reached[0].value for plan in (first, again)]
    assert (late[1] < late[0]) or change.value == 0
