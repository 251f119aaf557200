"""A plan that says why cars are late."""

from __future__ import annotations

from jobs.plan.adapter import plan_through
from jobs.plan.planned import ShopPlan
from jobs.plan.shop import CUTTER, ShopFacts
from jobs.plan.why_late import group_words, with_clashes, with_reasons
from jobs.scheduling.problem import Settings
from tests.jobs.plan.planning import by_rules
from tests.jobs.plan.shops import CHICAGO, at, bay, car, hand, shop, works
from tests.jobs.plan.test_why_says import local

QUIET = Settings(workers=1, deterministic=1.0, seconds=20.0)


def told(facts: ShopFacts, *, in_force: ShopPlan | None = None) -> ShopPlan:
    compiled, answer = plan_through(facts, search=by_rules, in_force=in_force)
    found = with_reasons(compiled.read(answer), compiled=compiled, answer=answer)
    return with_clashes(found, compiled=compiled, answer=answer, settings=QUIET)


def whys(plan: ShopPlan, number: int) -> list[str]:
    (found,) = [each for each in plan.cars if each.car == f"booking-{number}"]
    return [local(each, zone=CHICAGO) for each in found.why]


def clashes(plan: ShopPlan) -> list[str]:
    return [local(each, zone=CHICAGO) for each in plan.clashes]


def test_a_promise_before_the_night_is_impossible_even_alone():
    plan = told(shop(car(1, promised_at=at(0, 17)), car(2)))
    assert whys(plan, 1) == [
        "Alone in an empty shop it needs 30 min of intake, 1 h of prep, 4 h of film "
        "work, 45 min of inspection and 45 min of final look: coming Mon 08:00 it can "
        "be ready Tue 09:45 at the earliest; promised Mon 17:00.",
        "Its film would settle until Tue 09:00.",
    ]
    assert whys(plan, 2) == []
    assert clashes(plan) == []


def test_a_car_behind_another_in_the_bay_says_so_and_both_clash():
    promise = at(1, 12)
    cars = [car(n, promised_at=promise, works=works(film=300)) for n in (1, 2)]
    plan = told(shop(*cars, spots=(bay(1),)))
    (late,) = [each for each in plan.cars if each.standing == "late"]
    other = "booking-2" if late.car == "booking-1" else "booking-1"
    first, *_ = whys(plan, int(late.car[-1]))
    assert first == f"It waits for bay-1 until Tue 09:45, where {other} stands."
    assert clashes(plan)[0] == (
        "booking-1, booking-2 cannot both be ready in time; either of them can."
    )


def test_people_who_are_short_are_told_as_a_group():
    cars = [car(n, promised_at=at(1, 12), works=works(film=420)) for n in range(1, 6)]
    spots = tuple(bay(n) for n in range(1, 8))
    plan = told(shop(*cars, spots=spots, hands=(hand(1), hand(2))))
    assert any(", installers: " in each for each in clashes(plan))
    assert all(each.why for each in plan.cars if each.standing == "late")


def test_where_all_fits_nothing_is_told():
    plan = told(shop(car(1)))
    assert (whys(plan, 1), clashes(plan)) == ([], [])


def test_what_stays_only_because_it_begins_soon_makes_nothing_impossible():
    cars = [car(n, promised_at=at(1, 12), works=works(film=300)) for n in (1, 2)]
    facts = shop(*cars, spots=(bay(1),), freeze_h=20)
    first = told(facts)
    again = told(facts, in_force=first)
    assert not any("empty shop" in each for n in (1, 2) for each in whys(again, n))
    assert clashes(again) == clashes(first)


def test_groups_of_one_are_told_by_their_name():
    compiled, _ = plan_through(shop(car(1)), search=by_rules)
    words = group_words(compiled.floor)
    assert words[("bay-1", "bay-2")] == "bays"
    assert words[("person-1", "person-2")] == "installers"
    assert words[("person-1", "person-2", "person-3")] == "people for prep"
    assert CUTTER not in words.values()
