"""What cannot be: a sentence, and the best plan of the rest."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, time, timedelta
from time import perf_counter

from jobs.opening.hours import Opening
from jobs.plan.adapter import plan_through
from jobs.plan.shop import Part, Skill
from jobs.scheduling.problem import Fault, FaultKind, NoPlanError

from .planning import by_rules, planned, said, step
from .recount import complaints
from .shops import CHICAGO, at, bay, car, hand, shop, work, works

NEVER = Opening(
    opens_at=time(8), closes_at=time(18), other=dict.fromkeys(range(7), None)
)


def test_a_shop_without_an_open_day_plans_nothing_and_says_so():
    found = planned(shop(car(1), car(2), opening=NEVER))
    assert found.cars == ()
    assert "the shop has no open day ahead" in said(found)


def test_a_shop_without_cars_has_an_empty_plan():
    found = planned(shop())
    assert (found.steps, found.cars, found.unplaced) == ((), (), ())


def test_no_bay_of_a_kind_leaves_that_car_out():
    found = planned(shop(car(1, bay_kind="lift"), car(2)))
    assert dict(found.unplaced).keys() == {"booking-1"}
    assert "There is no lift for booking-1." in said(found)
    assert [each.car for each in found.cars] == ["booking-2"]


def test_nobody_with_the_skill_leaves_the_cars_out_that_need_it():
    looked_at = car(2, works=(work(Part.LOOK, 43),), settling=None, is_here=True)
    found = planned(shop(car(1), looked_at, hands=(hand(1, Skill.INSPECT),)))
    assert "Nobody here can prep booking-1." in said(found)
    assert [each.car for each in found.cars] == ["booking-2"]


def test_nobody_at_all_is_said():
    assert "Nobody is here to work on booking-1." in said(
        planned(shop(car(1), hands=()))
    )


def test_everybody_away_for_good_is_nobody():
    gone = hand(1, away=((at(0, 0), at(4000, 0)),))
    assert "Nobody is here" in said(planned(shop(car(1), hands=(gone,))))


def test_a_promise_before_arrival_is_planned_late_and_said():
    found = planned(shop(car(1, arrives_at=at(2, 9), promised_at=at(1, 9))))
    assert "before it comes" in said(found)
    assert found.cars[0].late_min > 0


def test_a_day_fixed_on_which_the_shop_is_closed_is_given_up():
    found = planned(shop(car(1, not_before=at(5, 0), not_after=at(6, 0))))
    assert "cannot begin in the time fixed for it" in said(found)
    assert step(found, "booking-1", Part.INSTALL).starts_at >= at(7, 8)


def test_a_day_fixed_before_the_car_comes_is_given_up():
    one = car(1, arrives_at=at(2, 9), not_before=at(0, 0), not_after=at(1, 0))
    found = planned(shop(one))
    assert "cannot begin in the time fixed for it" in said(found)


def test_what_was_fixed_is_said_from_opening_on_and_not_from_midnight():
    one = car(1, arrives_at=at(2, 17), not_before=at(2, 0), not_after=at(2, 12))
    [sentence] = [s for s in planned(shop(one)).assumed if "fixed for it" in str(s)]
    assert dict(sentence.params)["at"] == at(2, 8)


def test_two_cars_fixed_to_one_bay_and_one_morning_lose_what_was_fixed():
    cars = [
        car(
            n,
            bay="bay-1",
            not_before=at(1, 0),
            not_after=at(1, 12),
            works=works(60, 600),
        )
        for n in (1, 2)
    ]
    found = planned(shop(*cars))
    assert {each.car for each in found.cars} == {"booking-1", "booking-2"}
    assert "cannot be kept" in said(found)


def test_two_cars_that_stand_in_one_bay_are_told_apart():
    cars = [car(n, bay="bay-1", is_here=True, works=works()[2:]) for n in (1, 2)]
    found = planned(shop(*cars))
    assert "cannot stay in bay-1" in said(found)
    assert step(found, "booking-2", Part.STAY).spot in ("bay-1", "bay-2")


def test_a_car_in_a_bay_that_is_closed_is_moved():
    closed = bay(1, closed=((at(0, 0), at(3, 0)),))
    one = car(1, bay="bay-1", is_here=True, works=works()[2:])
    found = planned(shop(one, spots=(closed, bay(2))))
    assert step(found, "booking-1", Part.STAY).spot == "bay-2"
    assert "cannot stay in bay-1" in said(found)


def test_one_person_at_work_on_two_cars_does_one_after_the_other():
    going_on = work(Part.INSTALL, 100, began=True, by=("person-1",))
    cars = [
        car(n, bay=f"bay-{n}", is_here=True, works=(going_on, *works()[3:]))
        for n in (1, 2)
    ]
    found = planned(shop(*cars))
    first, second = (step(found, c.key, Part.INSTALL) for c in cars)
    assert first.people == second.people == ("person-1",)
    assert first.ends_at <= second.starts_at


def test_what_was_fixed_and_is_not_there_is_said():
    one = car(1, bay="bay-77", people=("person-3", "person-88"))
    found = planned(shop(one))
    assert "bay-77, fixed for booking-1, is not there." in said(found)
    assert "person-3, person-88, fixed for the film work" in said(found)


def test_more_people_than_there_are_is_said():
    found = planned(shop(car(1, works=works(people=3))))
    assert "is planned for 2, not 3" in said(found)


def test_work_longer_than_any_day_goes_on_next_day():
    found = planned(shop(car(1, works=(work(Part.INTAKE, 700), *works()[1:]))))
    assert "longer than a day is open" in said(found)


def test_a_time_that_does_not_exist_is_said():
    skipped = datetime(2026, 3, 8, 2, 30, tzinfo=CHICAGO)
    one = car(1, arrives_at=skipped, promised_at=skipped + timedelta(days=5))
    found = planned(shop(one, now=datetime(2026, 3, 6, 8, tzinfo=CHICAGO)))
    assert "the clocks skip 02:30 on 2026-03-08" in said(found)


def test_a_car_that_fits_nowhere_is_left_out_and_the_rest_is_planned():
    facts = shop(car(1), car(2))

    def refuses(problem):
        about = tuple(a.key for a in problem.activities if a.job == "booking-1")
        if about:
            raise NoPlanError((Fault(kind=FaultKind.PINS_CLASH, about=about[:1]),))
        return by_rules(problem)

    compiled, plan = plan_through(facts, search=refuses)
    found = compiled.read(plan)
    assert dict(found.unplaced).keys() == {"booking-1"}
    assert [each.car for each in found.cars] == ["booking-2"]


def test_two_hundred_cars_are_planned_within_seconds():
    cars = [
        car(n, arrives_at=at(n % 5, 8), promised_at=at(n % 5 + 2, 18))
        for n in range(200)
    ]
    facts = shop(*cars, spots=(bay(1), bay(2), bay(3)))
    began = perf_counter()
    compiled, plan = plan_through(facts, search=by_rules)
    found = compiled.read(plan)
    assert perf_counter() - began < 30
    assert len(found.cars) == 200
    assert complaints(facts, found) == []


def test_holidays_for_a_month_are_waited_out():
    days = {date(2026, 6, 1) + timedelta(days=n): "shut" for n in range(30)}
    facts = shop(car(1), opening=replace(shop().opening, holidays=days))
    found = planned(facts)
    assert step(found, "booking-1", Part.INTAKE).starts_at.date() == date(2026, 7, 1)


def test_a_ready_car_that_still_stands_in_a_bay_is_said_and_the_next_waits_for_it():
    closed = ((at(0, 8), at(0, 9)),)
    taken = bay(1, closed=closed, ready_car="booking-9")
    facts = shop(car(1), spots=(taken,))
    found = planned(facts)
    assert step(found, "booking-1", Part.STAY).starts_at == at(0, 9)
    assert "booking-9 is ready and still stands in bay-1" in said(found)
    assert "booking-9" in found.mentioned


def test_a_car_that_no_plan_can_take_keeps_the_bay_it_stands_in():
    looked_at = work(Part.LOOK, 43, skill=Skill.HELP)
    one = car(1, works=works()[2:], is_here=True, bay="bay-1")
    two = car(2, works=(*works()[:3], looked_at))
    hands = (hand(1, Skill.PREP, Skill.INSTALL, Skill.HELP),)
    found = planned(shop(one, two, hands=hands))
    assert "Nobody here can inspect booking-1." in said(found)
    assert "stands in bay-1: the bay is held." in said(found)
    assert step(found, "booking-2", Part.STAY).spot == "bay-2"


def test_where_such_a_car_has_the_only_bay_nothing_is_planned_into_it():
    one = car(1, works=works()[2:], is_here=True, bay="bay-1")
    two = car(2, works=(*works()[:3],), bay="bay-1")
    hands = (hand(1, Skill.PREP, Skill.INSTALL),)
    found = planned(shop(one, two, hands=hands, spots=(bay(1),)))
    assert "There is no bay for booking-2." in said(found)
    assert found.steps == ()
