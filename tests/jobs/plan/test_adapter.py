"""Cars in any stage, what is fixed, what was promised: what the plan makes of it."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest

from jobs.plan.shop import Part, Skill
from jobs.scheduling.problem import Level

from .planning import compiled_and_planned, planned, said, step
from .shops import (
    MONDAY,
    OVERNIGHT,
    SATURDAYS,
    at,
    bay,
    car,
    cutter,
    hand,
    settling_place,
    shop,
    wash,
    work,
    works,
)


def test_a_promise_at_closing_is_kept_by_a_final_look_that_ends_then():
    look = (work(Part.LOOK, 45),)
    one = car(1, works=look, settling=None, promised_at=at(0, 18), is_here=True)
    facts = shop(one, now=at(0, 17, 15))
    found = planned(facts)
    assert found.cars[0].ready_at == at(0, 18)
    assert found.cars[0].late_min == 0
    late = planned(replace(facts, now=at(0, 17, 16)))
    assert late.cars[0].ready_at == at(1, 8, 45)
    assert late.cars[0].late_min == 45


def test_film_that_settles_in_the_night_is_looked_at_at_the_next_opening():
    one = car(
        1,
        works=(work(Part.LOOK, 43),),
        settling=None,
        settles_until=at(6, 3),
        is_here=True,
        promised_at=at(5, 13),
    )
    found = planned(shop(one, now=at(5, 9), opening=SATURDAYS))
    assert step(found, "booking-1", Part.LOOK).starts_at == at(7, 8)
    assert found.cars[0].late_min == 45


def test_a_car_without_a_final_look_is_ready_at_the_opening_after_its_cure():
    one = car(
        1,
        works=(),
        settling=None,
        settles_until=at(6, 3),
        is_here=True,
        promised_at=at(5, 13),
    )
    found = planned(shop(one, now=at(5, 9), opening=SATURDAYS))
    assert found.cars[0].ready_at == at(7, 8)
    assert found.reached[0].value >= 1


def test_a_started_stage_goes_on_where_it_is_and_by_the_same_person():
    going_on = work(Part.INSTALL, 100, began=True, by=("person-2",))
    one = car(
        1,
        works=(going_on, work(Part.INSPECTION, 38), work(Part.LOOK, 43)),
        is_here=True,
        bay="bay-2",
    )
    found = planned(shop(car(2), car(3), one, now=at(0, 9)))
    film = step(found, "booking-1", Part.INSTALL)
    assert (film.starts_at, film.ends_at) == (at(0, 9), at(0, 10, 45))
    assert (film.people, film.spot) == (("person-2",), "bay-2")
    assert step(found, "booking-1", Part.STAY).starts_at == at(0, 9)


def test_whoever_has_gone_is_replaced_and_the_bay_stays():
    going_on = work(Part.INSTALL, 100, began=True, by=("person-2",))
    one = car(
        1,
        works=(going_on, work(Part.INSPECTION, 38), work(Part.LOOK, 43)),
        is_here=True,
        bay="bay-2",
    )
    gone = hand(2, away=((at(0, 8, 30), at(1, 0)),))
    found = planned(shop(one, now=at(0, 9), hands=(hand(1), gone)))
    film = step(found, "booking-1", Part.INSTALL)
    assert (film.people, film.spot) == (("person-1",), "bay-2")
    assert "person-2 is away" in said(found)


def test_whoever_leaves_within_the_rest_does_it_until_then():
    going_on = work(Part.INSTALL, 240, began=True, by=("person-2",))
    one = car(
        1,
        works=(going_on, work(Part.INSPECTION, 38), work(Part.LOOK, 43)),
        is_here=True,
        bay="bay-2",
    )
    leaves = hand(2, away=((at(0, 11), at(3, 0)),))
    found = planned(shop(one, now=at(0, 9), hands=(hand(1), leaves)))
    first, second = (step(found, "booking-1", Part.INSTALL, each) for each in (0, 1))
    assert (first.people, first.ends_at) == (("person-2",), at(0, 11))
    assert (second.people, second.ends_at) == (("person-1",), at(0, 13))


def test_a_paused_car_keeps_its_bay_and_goes_on_next_morning():
    one = car(1, works=works()[2:], is_here=True, is_paused=True, bay="bay-1")
    found = planned(shop(one, car(2), car(3), now=at(0, 9)))
    assert step(found, "booking-1", Part.INSTALL).starts_at == at(1, 8)
    stay = step(found, "booking-1", Part.STAY)
    assert (stay.starts_at, stay.spot) == (at(0, 9), "bay-1")
    assert "booking-1 is paused" in said(found)


@pytest.mark.parametrize(("now", "begins"), [(at(0, 8, 50), 8), (at(0, 9, 1), 32)])
def test_a_car_that_has_not_come_is_waited_for_an_hour_then_till_morning(now, begins):
    found = planned(shop(car(1), now=now))
    at_soonest = max(now, MONDAY + timedelta(hours=begins - 8))
    intake = step(found, "booking-1", Part.INTAKE)
    assert timedelta() <= intake.starts_at - at_soonest < timedelta(minutes=15)
    assert "was expected" in said(found)


def test_film_is_cut_on_the_open_day_before_the_car_comes():
    one = car(1, arrives_at=at(7, 9), promised_at=at(9, 9), cut=work(Part.CUT, 60))
    found = planned(shop(one))
    cut = step(found, "booking-1", Part.CUT)
    assert (cut.ends_at, cut.spot, cut.people) == (at(4, 18), "cutter-1", ())


def test_film_for_a_car_that_comes_today_is_cut_before_it_is_laid():
    found = planned(shop(car(1, cut=work(Part.CUT, 120)), car(2)))
    cut = step(found, "booking-1", Part.CUT)
    assert cut.ends_at <= step(found, "booking-1", Part.INSTALL).starts_at


def test_a_day_of_cutting_that_is_full_goes_over_to_the_days_before():
    cars = [
        car(n, arrives_at=at(2, 8), promised_at=at(4, 18), cut=work(Part.CUT, 240))
        for n in range(4)
    ]
    found = planned(shop(*cars))
    ends = sorted(step(found, c.key, Part.CUT).ends_at for c in cars)
    assert ends == [at(0, 14), at(0, 18), at(1, 14), at(1, 18)]


def test_two_people_at_the_beginning_of_the_film_work():
    todo = (*works(film=600)[:3], work(Part.HELP, 120), *works()[3:])
    found = planned(shop(car(1, works=todo)))
    helper, film = (
        step(found, "booking-1", each) for each in (Part.HELP, Part.INSTALL)
    )
    assert (helper.starts_at, helper.ends_at) == (film.starts_at, film.ends_at)
    assert helper.people != film.people
    assert film.ends_at - film.starts_at == timedelta(hours=2)


def test_one_person_alone_plans_without_a_helper():
    todo = (*works()[:3], work(Part.HELP, 120), *works()[3:])
    found = planned(shop(car(1, works=todo), hands=(hand(1),)))
    assert "without a helper" in said(found)
    assert not [each for each in found.steps if each.part is Part.HELP]


def test_long_film_work_is_done_in_pieces_by_the_same_hands():
    found = planned(shop(car(1, works=works(film=1500))))
    pieces = [each for each in found.steps if each.part is Part.INSTALL]
    assert len(pieces) == 3
    assert len({each.people for each in pieces}) == 1


def test_a_car_goes_from_its_bay_to_a_place_in_the_evening_after_the_work():
    one = car(1, works=works(prep=60, film=455))
    found = planned(
        shop(one, spots=(bay(1), settling_place(room_for=1)), settles_in_bay=False)
    )
    inspection = step(found, "booking-1", Part.INSPECTION)
    stay, parked = (step(found, "booking-1", p) for p in (Part.STAY, Part.PARKED))
    assert stay.ends_at == parked.starts_at == inspection.ends_at
    assert parked.ends_at == found.cars[0].ready_at
    assert parked.spot == "place-9"


def test_a_full_place_for_settling_keeps_the_next_car_in_its_bay():
    places = (bay(1), bay(2), settling_place(room_for=1))
    found = planned(shop(car(1), car(2), spots=places, settles_in_bay=False))
    parked = sorted(
        (each for each in found.steps if each.part is Part.PARKED),
        key=lambda each: each.starts_at,
    )
    assert parked[0].ends_at <= parked[1].starts_at
    waits = step(found, parked[1].car, Part.STAY)
    assert waits.ends_at == parked[1].starts_at


def test_a_car_that_settles_in_its_place_keeps_it():
    one = car(
        1,
        works=(work(Part.LOOK, 43),),
        settling=None,
        settles_until=at(1, 9),
        is_here=True,
        place="place-8",
    )
    places = (bay(1), settling_place(8), settling_place(9))
    found = planned(shop(one, spots=places, settles_in_bay=False))
    parked = step(found, "booking-1", Part.PARKED)
    assert (parked.spot, parked.starts_at) == ("place-8", MONDAY)
    assert step(found, "booking-1", Part.LOOK).starts_at == at(1, 9)


def test_the_bay_and_the_people_fixed_for_a_car_are_kept():
    one = car(1, bay="bay-2", people=("person-2",))
    found = planned(shop(one))
    assert step(found, "booking-1", Part.STAY).spot == "bay-2"
    assert step(found, "booking-1", Part.INSTALL).people == ("person-2",)


def test_film_work_begins_in_the_stretch_fixed_for_it():
    one = car(1, not_before=at(1, 12), not_after=at(2, 0))
    found = planned(shop(one))
    begins = step(found, "booking-1", Part.INSTALL).starts_at
    assert at(1, 12) <= begins < at(2, 0)
    assert not found.assumed


def test_the_nights_of_a_package_hold_the_final_look_back():
    found = planned(shop(car(1, ready_from=at(2, 12))))
    assert step(found, "booking-1", Part.LOOK).starts_at >= at(2, 12)


def test_the_same_facts_beside_their_own_plan_change_nothing():
    facts = shop(*(car(n, works=works(film=700)) for n in range(4)))
    first = planned(facts)
    compiled, again = compiled_and_planned(facts, in_force=first)
    assert compiled.problem.levels == (Level.LATE, Level.CHANGE, Level.STAY)
    assert [each for each in again.reached if each.level == "change"][0].value == 0
    assert again.steps == first.steps


def test_what_begins_soon_stays_though_a_more_urgent_car_comes():
    first = planned(shop(car(1), spots=(bay(1),), hands=(hand(1),)))
    urgent = car(0, promised_at=at(0, 17), weight=4, settling=None)
    both = shop(car(1), urgent, spots=(bay(1),), hands=(hand(1),))
    kept = planned(both, in_force=first)
    for part in (Part.INTAKE, Part.PREP, Part.INSTALL):
        before, now = (step(plan, "booking-1", part) for plan in (first, kept))
        assert before == now
    free = planned(replace(both, freeze_h=0))
    assert step(free, "booking-0", Part.INSTALL).starts_at < at(0, 12)


def test_what_was_frozen_is_free_where_its_person_is_away():
    first = planned(shop(car(1), hands=(hand(1), hand(2))))
    who = step(first, "booking-1", Part.INSTALL).people[0]
    hands = tuple(
        replace(each, away=((MONDAY, at(2, 0)),)) if each.key == who else each
        for each in (hand(1), hand(2))
    )
    found = planned(shop(car(1), hands=hands), in_force=first)
    now = step(found, "booking-1", Part.INSTALL)
    assert now.people != (who,)
    assert now.starts_at == step(first, "booking-1", Part.INSTALL).starts_at


def test_pieces_keep_their_names_when_the_first_is_done():
    facts = shop(car(1, works=works(film=1500)))
    first = planned(facts)
    left = replace(
        car(1, works=(work(Part.INSTALL, 900), *works()[3:])),
        is_here=True,
        bay=step(first, "booking-1", Part.STAY).spot,
    )
    later = planned(shop(left, now=at(1, 8)), in_force=first)
    numbers = [each.number for each in later.steps if each.part is Part.INSTALL]
    assert numbers == [1, 2]


def test_cars_held_fixed_stay_exactly_and_one_more_fits_beside():
    places = (bay(1), settling_place(room_for=1), wash(), cutter())
    in_wash = work(Part.PREP, 60, spot="wash", in_bay=False)
    todo = (works()[0], in_wash, *works()[2:])
    old = shop(
        *(car(n, works=todo) for n in range(2)), spots=places, settles_in_bay=False
    )
    standing = planned(old)
    more = replace(old, cars=(*old.cars, car(7, works=todo)))
    found = planned(more, fixed=standing)
    assert [s for s in found.steps if s.car != "booking-7"] == list(standing.steps)
    assert {each.car for each in found.cars} == {"booking-0", "booking-1", "booking-7"}


def test_the_latest_hour_takes_the_long_estimate_through_night_and_cure():
    todo = works(film=240, high=500)
    found = planned(shop(car(1, works=todo)))
    row = found.cars[0]
    assert row.ready_at == row.latest_at == at(1, 9, 45)
    found = planned(shop(car(1, works=works(film=420, high=700))))
    row = found.cars[0]
    assert row.ready_at == at(1, 9, 45)
    assert row.latest_at == at(2, 9, 45)


def test_a_week_later_the_whole_plan_is_a_week_later():
    week = timedelta(days=7)
    cars = [
        car(n, works=works(film=300 + 97 * n), cut=work(Part.CUT, 50)) for n in range(5)
    ]
    first = planned(shop(*cars))
    moved = [
        replace(c, arrives_at=c.arrives_at + week, promised_at=c.promised_at + week)
        for c in cars
    ]
    second = planned(shop(*moved, now=MONDAY + week))
    assert [
        replace(s, starts_at=s.starts_at + week, ends_at=s.ends_at + week)
        for s in first.steps
    ] == list(second.steps)


def test_overnight_film_waits_for_the_hour_after_opening():
    found = planned(shop(car(1, settling=OVERNIGHT)))
    assert step(found, "booking-1", Part.LOOK).starts_at == at(1, 9)


def test_prep_takes_a_wash_where_there_is_one():
    in_wash = work(Part.PREP, 60, spot="wash", in_bay=False)
    todo = (works()[0], in_wash, *works()[2:])
    found = planned(shop(car(1, works=todo), spots=(bay(1), wash())))
    assert step(found, "booking-1", Part.PREP).spot == "place-1"
    stay = step(found, "booking-1", Part.STAY)
    assert stay.starts_at == step(found, "booking-1", Part.INSTALL).starts_at


def test_somebody_with_short_days_does_a_piece_a_day():
    mornings = hand(1, away=tuple((at(day, 13), at(day, 18)) for day in range(40)))
    found = planned(shop(car(1, works=works(film=600)), hands=(mornings,)))
    pieces = [each for each in found.steps if each.part is Part.INSTALL]
    assert len(pieces) >= 2
    assert all(each.ends_at - each.starts_at <= timedelta(hours=5) for each in pieces)


def test_skills_are_asked_for():
    found = planned(
        shop(
            car(1),
            hands=(hand(1, Skill.INSTALL), hand(2, Skill.PREP), hand(3, Skill.INSPECT)),
        )
    )
    assert step(found, "booking-1", Part.PREP).people == ("person-2",)
    assert step(found, "booking-1", Part.INSTALL).people == ("person-1",)
    assert step(found, "booking-1", Part.LOOK).people == ("person-3",)
