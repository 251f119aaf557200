"""One more car in what the standing plan leaves free."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta

import pytest

from jobs.opening.hours import Opening
from jobs.plan.fit import DayAsked, Days, Fit, arrival_on, assumed, clash, fit_of
from jobs.plan.planned import ShopPlan
from jobs.plan.shop import Car, Part, ShopFacts

from .planning import planned
from .shops import MONDAY, at, bay, car, cutter, hand, shop, work, works

DAY_LONG = works(prep=60, film=540)
"""Intake, prep, film and inspection take one installer more than a day of ten hours."""


def one_bay(*cars: Car, **more: object) -> ShopFacts:
    """A bay and an installer."""
    return shop(*cars, **({"spots": (bay(1), cutter()), "hands": (hand(1),)} | more))


def new(arrives_at: datetime, **more: object) -> Car:
    """The car that is asked about."""
    usual = {"promised_at": arrives_at + timedelta(days=30)}
    return car(0, arrives_at=arrives_at, **(usual | more))


def fits(*, facts, standing, first_day, most=3) -> tuple[Fit, ...]:
    days = Days(facts=facts, standing=standing, car_at=new)
    return days.next_fits(first_day, most=most)


def asked_for(*, facts, standing, day) -> DayAsked:
    return Days(facts=facts, standing=standing, car_at=new).asked(day)


def days(found: object) -> list[date]:
    return [fit.arrives_at.date() for fit in found]  # type: ignore[attr-defined]


def test_an_empty_shop_takes_a_car_at_once_on_the_next_three_days():
    facts = one_bay()
    found = fits(facts=facts, standing=None, first_day=MONDAY.date(), most=3)
    assert days(found) == [(MONDAY + timedelta(days=n)).date() for n in range(3)]
    assert all(fit.arrives_at.time() == time(8) for fit in found)
    assert {fit.bay for fit in found} == {"bay-1"}
    assert all(fit.promised_at > fit.ready_at for fit in found)


def test_a_car_waits_for_the_bay_that_others_hold():
    facts = one_bay(car(1, works=DAY_LONG), car(2, works=DAY_LONG))
    standing = planned(facts)
    alone = fit_of(facts=one_bay(), standing=None, car=new(at(0, 8)))
    beside = fit_of(facts=facts, standing=standing, car=new(at(0, 8)))
    assert alone
    assert beside
    assert beside.ready_at > alone.ready_at
    last = max(step.ends_at for step in standing.steps if step.part is Part.STAY)
    assert beside.stay
    assert beside.stay[0] >= last


def test_no_other_car_moves_for_it():
    facts = shop(car(1, works=DAY_LONG), car(2, promised_at=at(3, 12)))
    standing = planned(facts)
    found = fit_of(facts=facts, standing=standing, car=new(at(0, 8)))
    assert found
    assert found.stay
    for step in standing.steps:
        if step.part is Part.STAY and step.spot == found.bay:
            apart = step.ends_at <= found.stay[0] or step.starts_at >= found.stay[1]
            assert apart, step


def test_a_day_on_which_it_would_wait_is_not_offered():
    facts = one_bay(car(1, works=DAY_LONG), car(2, works=DAY_LONG))
    standing = planned(facts)
    found = fits(facts=facts, standing=standing, first_day=MONDAY.date())
    assert found
    assert found[0].arrives_at.date() > MONDAY.date()
    ready = [fit.ready_at for fit in found]
    assert ready == sorted(set(ready))


def test_the_last_day_from_which_it_is_ready_soonest_is_not_leapt_over():
    def coming(day: int, *, film: datetime, ready: datetime) -> Fit:
        arrives = at(day, 8)
        return Fit(
            arrives_at=arrives,
            bay="bay-1",
            begins_at=arrives,
            film_at=film,
            people=(),
            ready_at=ready,
            promised_at=ready,
        )

    # Prep waits for nobody, the film work for Friday: who comes then is preparing.
    soonest = [coming(day, film=at(4, 10), ready=at(7, 9)) for day in range(4)]
    later = [coming(4, film=at(4, 15), ready=at(8, 9))]
    later += [coming(day, film=at(day, 10), ready=at(day + 2, 9)) for day in (7, 8, 9)]
    found = Days(facts=one_bay(), standing=None, car_at=new)
    found._known = {fit.arrives_at.date(): fit for fit in (*soonest, *later)}
    assert days(found.next_fits(MONDAY.date()))[0] == at(3, 8).date()


def test_a_day_that_is_asked_for_and_fits_is_said():
    on = at(2, 8).date()
    asked = asked_for(facts=one_bay(), standing=None, day=on)
    assert asked.fit
    assert asked.fit.arrives_at == at(2, 8)
    assert asked.why_not == ()


def test_a_day_on_which_the_bay_is_taken_names_who_holds_it_and_the_nearest_days():
    facts = one_bay(car(1, works=DAY_LONG, arrives_at=at(1, 8)))
    standing = planned(facts)
    wanted = at(2, 8).date()
    asked = asked_for(facts=facts, standing=standing, day=wanted)
    assert asked.fit is None
    said = [str(sentence) for sentence in asked.why_not]
    assert said[0].startswith("No bay has room on")
    assert "KTR 1" in said[1]
    assert asked.nearest
    assert wanted not in days(asked.nearest)


def test_nobody_who_lays_film_is_said_when_bays_are_free():
    off = ((at(1, 0), at(2, 0)),)
    facts = shop(hands=(hand(1, away=off),))
    asked = asked_for(facts=facts, standing=None, day=at(1, 8).date())
    assert [str(each) for each in asked.why_not][0].startswith("Nobody is free")
    assert days(asked.nearest)[0] == at(0, 8).date()


@pytest.mark.parametrize(
    ("day", "says"),
    [
        (at(-3, 8).date(), "has passed"),
        (at(5, 8).date(), "The shop is closed on"),
    ],
)
def test_a_day_that_cannot_be_has_a_sentence_and_others_beside_it(day, says):
    asked = asked_for(facts=one_bay(), standing=None, day=day)
    assert asked.fit is None
    assert says in str(asked.why_not[0])
    assert asked.nearest


def test_today_a_car_comes_at_the_next_half_hour_and_not_before_closing():
    later = one_bay(now=at(0, 14, 10))
    assert arrival_on(MONDAY.date(), facts=later) == at(0, 14, 30)
    evening = one_bay(now=at(0, 17, 45))
    assert arrival_on(MONDAY.date(), facts=evening) == at(1, 8)


def test_a_shop_without_a_bay_offers_nothing():
    facts = shop(spots=())
    assert fits(facts=facts, standing=None, first_day=MONDAY.date()) == ()


def test_a_shop_that_never_opens_offers_nothing():
    never = Opening(opens_at=time(8), closes_at=time(18), other=dict.fromkeys(range(7)))
    facts = one_bay(opening=never)
    assert fits(facts=facts, standing=None, first_day=MONDAY.date()) == ()


# -- two cars, one bay, one hour ---------------------------------------------------


def booked(number: int, **more: object) -> Car:
    return car(number, arrives_at=at(1, 9), bay="bay-1", **more)


def said(facts: ShopFacts, standing: ShopPlan | None, mine: Car) -> list[str]:
    return [str(each) for each in clash(facts=facts, standing=standing, car=mine)]


def test_two_cars_in_one_bay_at_one_hour_clash_before_any_plan_knows_them():
    mine = booked(2, works=DAY_LONG)
    facts = one_bay(booked(1, works=DAY_LONG), mine)
    (sentence,) = said(facts, None, mine)
    assert sentence.startswith("Bay 1 is taken on ")
    assert "by KTR 1 until" in sentence


def test_a_car_that_the_plan_has_in_the_bay_clashes_too():
    holder = booked(1, works=DAY_LONG)
    standing = planned(one_bay(holder))
    mine = booked(2, works=DAY_LONG)
    assert "by KTR 1 until" in said(one_bay(holder, mine), standing, mine)[0]


def test_another_bay_another_week_or_no_bay_is_no_clash():
    holder = booked(1, works=DAY_LONG)
    standing = planned(shop(holder))
    for mine in (
        car(2, arrives_at=at(1, 9), bay="bay-2"),
        car(2, arrives_at=at(8, 9), bay="bay-1"),
        car(2, arrives_at=at(1, 9)),
    ):
        assert said(shop(holder, mine), standing, mine) == []


def test_a_car_that_was_cancelled_holds_no_bay():
    standing = planned(one_bay(booked(1, works=DAY_LONG)))
    mine = booked(2)
    assert said(one_bay(mine), standing, mine) == []


def test_until_a_plan_knows_it_who_leaves_that_day_is_in_nobodys_way():
    holder = car(1, works=works(prep=30, film=120), bay="bay-1", settling=None)
    mine = car(2, arrives_at=at(0, 10, 30), bay="bay-1", settling=None)
    standing = planned(one_bay(holder))
    assert said(one_bay(holder, mine), standing, mine) == []


def test_where_the_plan_fits_it_on_its_day_there_is_no_clash():
    """It comes at opening, another leaves the bay at noon: no reason to call."""
    holder = car(1, works=works(prep=30, film=120), bay="bay-1", settling=None)
    mine = car(2, arrives_at=at(0, 9, 30), bay="bay-1", settling=None)
    facts = one_bay(holder, mine)
    standing = planned(one_bay(holder))
    fit = fit_of(facts=facts, standing=standing, car=mine)
    assert fit
    assert clash(facts=facts, standing=standing, car=mine, stay=fit.stay) == ()


def test_a_car_that_waits_for_its_bay_and_is_in_time_clashes_with_nobody():
    holder = car(1, works=DAY_LONG, arrives_at=at(0, 8), bay="bay-1")
    mine = car(2, arrives_at=at(0, 10), bay="bay-1", promised_at=at(9, 12))
    facts, standing = one_bay(holder, mine), planned(one_bay(holder))
    fit = fit_of(facts=facts, standing=standing, car=mine)
    assert fit
    assert fit.stay
    assert fit.stay[0].date() > mine.arrives_at.date()
    told = {"facts": facts, "standing": standing, "car": mine, "stay": fit.stay}
    assert clash(**told)
    assert clash(**told, in_time=True) == ()


# -- what is assumed ---------------------------------------------------------------


def test_what_an_offer_takes_for_granted_is_said():
    helped = (*works(), work(Part.HELP, 60))
    facts = one_bay()
    texts = [
        str(each)
        for each in assumed(facts=facts, standing=None, car=new(at(0, 8), works=helped))
    ]
    assert "Film work by one installer, 1 h of it with a second person." in texts
    assert "It counts on the film being in stock." in texts
    named = new(at(0, 8), people=("person-1",))
    texts = [str(each) for each in assumed(facts=facts, standing=None, car=named)]
    assert "Film work by Hand 1." in texts
