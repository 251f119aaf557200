"""What goes on goes on now, whatever is wanted beside it."""

from __future__ import annotations

from dataclasses import replace

from jobs.plan.making import carried_on
from jobs.plan.shop import Part, Skill

from .planning import planned, said, step
from .shops import at, bay, car, hand, settling_place, shop, wash, work, works


def test_prep_in_the_wash_goes_on_now_whoever_else_waits_for_it():
    preps = work(Part.PREP, 60, in_bay=False, spot="wash")
    going_on = replace(preps, began=True, by=("person-3",))
    rest = (work(Part.INSTALL, 240), work(Part.INSPECTION, 38), work(Part.LOOK, 43))
    one = car(1, works=(preps, *rest), is_here=True, promised_at=at(0, 12))
    two = car(2, works=(going_on, *rest), is_here=True, place="place-1")
    spots = (bay(1), bay(2), wash())
    found = planned(shop(one, two, now=at(0, 9), spots=spots))
    prep = step(found, "booking-2", Part.PREP)
    assert (prep.starts_at, prep.people) == (at(0, 9), ("person-3",))
    assert prep.spot == "place-1"


def test_prep_outside_the_wash_goes_on_though_the_wash_is_taken():
    preps = work(Part.PREP, 60, in_bay=False, spot="wash", began=True)
    rest = (work(Part.INSTALL, 240), work(Part.INSPECTION, 38), work(Part.LOOK, 43))
    cars = [
        car(
            number,
            works=(replace(preps, by=(f"person-{number}",)), *rest),
            is_here=True,
            place=place,
        )
        for number, place in ((1, ""), (2, "place-1"))
    ]
    spots = (bay(1), bay(2), wash())
    found = planned(shop(*cars, now=at(0, 9), spots=spots))
    for number in (1, 2):
        prep = step(found, f"booking-{number}", Part.PREP)
        assert (prep.starts_at, prep.people) == (at(0, 9), (f"person-{number}",))


def test_film_work_that_goes_on_needs_nobody_who_is_at_another_car():
    films = work(Part.INSTALL, 240, began=True)
    helped = work(Part.HELP, 60, skill=Skill.HELP)
    rest = (work(Part.INSPECTION, 38), work(Part.LOOK, 43))
    cars = [
        car(
            number,
            works=(replace(films, by=(f"person-{number}",)), helped, *rest),
            is_here=True,
            bay=f"bay-{number}",
        )
        for number in (1, 2)
    ]
    found = planned(shop(*cars, now=at(0, 9), hands=(hand(1), hand(2))))
    for number in (1, 2):
        film = step(found, f"booking-{number}", Part.INSTALL)
        assert (film.starts_at, film.people) == (at(0, 9), (f"person-{number}",))


def test_work_that_takes_longer_goes_on_and_nothing_comes_between():
    film = work(Part.INSTALL, 120, began=True, by=("person-1",))
    rest = (work(Part.INSPECTION, 38), work(Part.LOOK, 43))
    one = car(1, works=(film, *rest), is_here=True, bay="bay-1")
    short = (work(Part.INSTALL, 20), *rest)
    two = car(2, works=short, is_here=True, bay="bay-2", people=("person-1",))
    nine = shop(one, two, now=at(0, 9), hands=(hand(1), hand(2)))
    before = planned(nine)
    assert step(before, "booking-1", Part.INSTALL).ends_at == at(0, 11)

    found = carried_on(replace(nine, now=at(0, 9, 15)), in_force=before)
    mine = [each for each in found.steps_of("booking-1") if each.part is Part.INSTALL]
    assert [(each.starts_at, each.ends_at) for each in mine] == [
        (at(0, 9, 15), at(0, 11, 15))
    ]
    assert step(found, "booking-2", Part.INSTALL).starts_at >= at(0, 11, 15)


def test_a_car_that_is_to_settle_elsewhere_keeps_its_bay_until_it_is_out():
    settles = {"settling": None, "settles_until": at(1, 9), "works": works()[4:]}
    one = car(1, is_here=True, bay="bay-1", **settles)
    spots = (bay(1), settling_place())
    facts = shop(one, car(2, arrives_at=at(-3, 8)), spots=spots, settles_in_bay=False)
    found = planned(replace(facts, now=at(0, 9)))
    stay = step(found, "booking-1", Part.STAY)
    assert (stay.spot, stay.ends_at) == ("bay-1", at(0, 9, 30))
    assert step(found, "booking-2", Part.STAY).starts_at >= at(0, 9, 30)


def test_a_car_whose_film_has_settled_is_looked_at_where_it_stands():
    settled = {"settling": None, "settles_until": at(0, 8), "works": works()[4:]}
    one = car(1, is_here=True, bay="bay-1", **settled)
    spots = (bay(1), settling_place())
    found = planned(shop(one, spots=spots, settles_in_bay=False, now=at(0, 9)))
    look, stay = (step(found, "booking-1", part) for part in (Part.LOOK, Part.STAY))
    assert (look.starts_at, stay.spot, stay.ends_at) == (
        at(0, 9),
        "bay-1",
        look.ends_at,
    )


def test_a_fixed_morning_is_kept_though_others_are_promised_sooner():
    others = [
        car(number, works=works(prep=180), promised_at=at(1, 12)) for number in (2, 3)
    ]
    fixed = car(
        1,
        bay="bay-2",
        people=("person-1",),
        not_before=at(0, 0),
        not_after=at(0, 12),
        promised_at=at(4, 18),
    )
    hands = (hand(1, Skill.INSTALL), hand(2, Skill.INSPECT), hand(3, Skill.PREP))
    found = planned(shop(fixed, *others, hands=hands))
    film = step(found, "booking-1", Part.INSTALL)
    assert "cannot be kept" not in said(found)
    assert (film.starts_at < at(0, 12), film.people) == (True, ("person-1",))
    assert step(found, "booking-1", Part.STAY).spot == "bay-2"
