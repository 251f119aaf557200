"""What the plan in force did not know, and what is proposed then."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta

from jobs.plan.causes import OVERRUN_MIN, causes, is_over, remembered, told
from jobs.plan.making import carried_on, hash_of, plan_shop
from jobs.plan.planned import Cause, ShopPlan, Why
from jobs.plan.replanning import Replan, replanned
from jobs.plan.shop import Part, ShopFacts
from shopapp.say import say

from .planning import by_rules
from .shops import MONDAY, at, bay, car, hand, shop, work

LAID = (work(Part.PREP, 60), work(Part.INSTALL, 120))


def two_cars(**more) -> ShopFacts:
    cars = (
        car(1, works=LAID, arrives_at=MONDAY, promised_at=at(0, 18)),
        car(2, works=LAID, arrives_at=MONDAY),
    )
    known = {"spots": (bay(1), bay(2)), "hands": (hand(1), hand(2)), **more}
    return shop(*cars, settles_in_bay=True, **known)


def plan_of(facts: ShopFacts) -> ShopPlan:
    return plan_shop(facts, in_force=None, digest=hash_of(facts), search=by_rules)


def now_as(facts: ShopFacts, plan: ShopPlan) -> ShopPlan:
    return carried_on(facts, in_force=plan, digest=hash_of(facts))


def answer(facts: ShopFacts, plan: ShopPlan, answered=(), proposed=()) -> Replan:
    return replanned(
        facts,
        plan=plan,
        standing=now_as(facts, plan),
        answered=answered,
        proposed=proposed,
        search=by_rules,
    )


def without(facts: ShopFacts, key: str) -> ShopFacts:
    day = ((at(0, 0), at(1, 0)),)
    return replace(
        facts,
        hands=tuple(
            replace(each, away=day) if each.key == key else each for each in facts.hands
        ),
    )


def who_lays(plan: ShopPlan, key: str) -> str:
    steps = plan.steps_of(key)
    return next(step.people[0] for step in steps if step.part is Part.INSTALL)


def test_what_goes_as_planned_has_no_cause():
    facts = two_cars()
    plan = plan_of(facts)
    assert now_as(facts, plan).because == ()
    assert answer(facts, plan) == Replan(plan=None, answered=())


def test_who_is_away_is_a_cause_and_somebody_else_is_proposed():
    facts = two_cars()
    plan = plan_of(facts)
    gone = who_lays(plan, "booking-1")
    found = answer(without(facts, gone), plan)
    cause = Cause(why=Why.AWAY, car="booking-1", about=gone)
    assert cause in found.answered
    assert found.plan
    assert cause in found.plan.because
    assert "booking-1" in {move.car for move in found.plan.moves}
    assert gone not in {key for step in found.plan.steps for key in step.people}


def test_an_answer_is_given_once():
    facts = two_cars()
    plan = plan_of(facts)
    sick = without(facts, who_lays(plan, "booking-1"))
    first = answer(sick, plan)
    assert first.plan
    again = answer(sick, plan, answered=first.answered)
    assert again.plan is None
    assert set(again.answered) == set(first.answered)


def test_who_is_back_makes_the_proposal_needless_and_may_be_sick_again():
    facts = two_cars()
    plan = plan_of(facts)
    sick = without(facts, who_lays(plan, "booking-1"))
    first = answer(sick, plan)
    assert first.plan
    back = answer(facts, plan, first.answered, proposed=first.plan.because)
    assert back.plan is None
    assert back.is_over
    assert answer(sick, plan, answered=back.answered).plan


def test_an_absence_that_touches_nothing_proposes_nothing():
    facts = two_cars(hands=(hand(1), hand(2), hand(3)))
    plan = plan_of(facts)
    idle = {hand.key for hand in facts.hands} - {
        key for step in plan.steps for key in step.people
    }
    for key in idle:
        assert answer(without(facts, key), plan).plan is None


def test_a_bay_that_is_no_longer_in_use_is_a_cause():
    facts = two_cars()
    plan = plan_of(facts)
    gone = next(step.spot for step in plan.steps if step.part is Part.STAY)
    left = tuple(spot for spot in facts.spots if spot.key != gone)
    found = answer(replace(facts, spots=left), plan)
    assert Cause(why=Why.CLOSED, about=gone) in found.answered
    assert found.plan


def test_a_car_that_is_fixed_otherwise_is_a_cause_and_each_wish_its_own():
    facts = two_cars()
    plan = plan_of(facts)

    def fixed(day):
        first, second = facts.cars
        wish = {"not_before": at(day, 8), "not_after": at(day, 18)}
        return replace(facts, cars=(first, replace(second, **wish)))

    found = answer(fixed(1), plan)
    assert found.plan
    assert [each.why for each in found.plan.because] == [Why.FIXED]
    other = answer(fixed(2), plan, answered=found.answered)
    assert other.plan


def late_by(facts: ShopFacts, plan: ShopPlan, minutes: int) -> tuple[Cause, ...]:
    """Causes where each step ends so much later, all cars still in time."""
    more = timedelta(minutes=minutes)
    steps = tuple(replace(each, ends_at=each.ends_at + more) for each in plan.steps)
    standing = replace(plan, steps=steps)
    return causes(plan, standing=standing, facts=facts)


def test_less_than_an_hour_is_no_overrun_and_more_is_one():
    facts = two_cars()
    plan = plan_of(facts)
    assert late_by(facts, plan, OVERRUN_MIN) == ()
    more = late_by(facts, plan, OVERRUN_MIN + 15)
    assert {each.why for each in more} == {Why.PUSHED}
    assert {each.car for each in more} == {"booking-1", "booking-2"}


def test_a_car_that_becomes_late_is_a_cause_and_one_that_was_planned_late_is_none():
    facts = two_cars()
    plan = plan_of(facts)
    late = tuple(replace(each, late_min=15) for each in plan.cars)
    standing = replace(plan, cars=late)
    met = causes(plan, standing=standing, facts=facts)
    assert {each.why for each in met} == {Why.LATE}
    assert causes(standing, standing=standing, facts=facts) == ()


def one_car_until(hour: int, now: datetime) -> ShopFacts:
    """A car of three hours that is not begun."""
    one = car(1, works=LAID, promised_at=at(0, hour), settling=None, is_here=True)
    known = {"spots": (bay(1),), "hands": (hand(1),), "settles_in_bay": True}
    return replace(shop(one, **known), now=now)


def test_work_that_is_not_known_to_have_begun_for_half_an_hour_is_no_overrun():
    plan = plan_of(one_car_until(11, MONDAY))
    soon = one_car_until(11, at(0, 8, 16))
    assert Why.LATE in {each.why for each in now_as(soon, plan).because}
    assert answer(soon, plan) == Replan(plan=None, answered=())
    later = answer(one_car_until(11, at(0, 8, 31)), plan)
    assert [each.why for each in later.answered] == [Why.LATE]
    assert later.plan


def test_a_late_car_that_can_be_in_time_again_is_proposed_once():
    facts = two_cars()
    cars = tuple(
        replace(each, promised_at=at(0, 12), settling=None) for each in facts.cars
    )
    facts = replace(facts, cars=cars, freeze_h=0.0)
    plan = plan_of(replace(facts, hands=(hand(1),)))
    found = answer(facts, plan)
    assert found.plan
    assert [each.why for each in found.plan.because] == [Why.GAINED]
    assert answer(facts, plan, answered=found.answered).plan is None


def test_what_comes_and_goes_is_remembered_and_what_is_taken_back_is_not():
    sick = Cause(why=Why.AWAY, car="booking-1", about="person-1")
    late = Cause(why=Why.LATE, car="booking-1")
    assert remembered((), (sick, late)) == (late,)
    assert is_over((sick, late), (late,))
    assert not is_over((late,), ())


CLASH = say("{cars} cannot all be in time.", cars="booking-1, booking-2")


def test_what_was_said_of_cars_that_clash_is_said_no_longer_than_it_holds():
    facts = two_cars(hands=(hand(1),), spots=(bay(1),))
    short = tuple(replace(each, promised_at=at(0, 10)) for each in facts.cars)
    facts = replace(facts, cars=short)
    plan = replace(plan_of(facts), clashes=(CLASH,))
    assert now_as(facts, plan).clashes == (CLASH,)
    cancelled = replace(facts, cars=facts.cars[:1])
    assert now_as(cancelled, plan).clashes == ()
    sick = without(replace(facts, hands=(hand(1), hand(2))), "person-1")
    assert now_as(sick, plan).clashes == ()


def test_who_is_away_is_said_and_not_all_that_follows_from_it():
    sick = Cause(why=Why.AWAY, car="booking-1", about="person-1")
    late = Cause(why=Why.LATE, car="booking-1")
    pushed = Cause(why=Why.PUSHED, car="booking-2")
    assert [str(said) for said in told((late, sick, pushed))] == [
        "person-1 is not there for booking-1."
    ]
    assert [str(said) for said in told((late, pushed))] == [
        "booking-1 would be late as it stands."
    ]
    assert len(told((pushed,))) == 1
