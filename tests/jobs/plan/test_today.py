"""The day by promise, from plain facts."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime
from zoneinfo import ZoneInfo

from jobs.plan.naming import named
from jobs.plan.planned import ShopPlan
from jobs.plan.shop import Part
from jobs.plan.today import (
    CarNow,
    differences,
    doings,
    line_of,
    today,
)
from shopapp.say import say
from tests.jobs.plan.plans import HOUR, car_planned, steps_of

NOW = datetime(2031, 5, 6, 10, tzinfo=ZoneInfo("America/Chicago"))
TOMORROW = date(2031, 5, 7)
NAMES = {"bay-1": "Bay 1", "person-3": "Chidi", "person-4": "Mira"}
CAR = CarNow(
    key="booking-1",
    plate="KTR 4821",
    what="a car",
    customer="Robin",
    package="full front",
    arrives_at=NOW - HOUR,
    promised_at=NOW + 7 * HOUR,
    is_here=True,
)


def plan_of(*cars: CarNow, at: datetime = NOW) -> ShopPlan:
    return ShopPlan(
        as_of=at,
        steps=tuple(
            step for car in cars for step in steps_of(car.key, at, people=("person-3",))
        ),
        cars=tuple(
            car_planned(car.key, at + 3 * HOUR, car.promised_at) for car in cars
        ),
    )


def test_a_car_s_line_says_what_is_done_now_and_what_is_next():
    line = line_of(CAR, plan=plan_of(CAR), names=NAMES, now=NOW + HOUR / 2)
    assert line.doing
    assert line.next
    assert (line.doing.word, line.doing.people) == ("prep", "Chidi")
    assert (line.next.word, line.next.starts_at) == ("film work", NOW + HOUR)


def test_pieces_that_follow_each_other_are_one():
    first = steps_of(CAR.key, NOW, people=("person-3",))[1]
    second = replace(
        first, starts_at=first.ends_at, ends_at=first.ends_at + HOUR, number=1
    )
    both = doings([first, second], names=NAMES)
    assert [(one.part, one.ends_at) for one in both] == [(Part.INSTALL, second.ends_at)]
    other = replace(second, people=("person-4",))
    assert len(doings([first, other], names=NAMES)) == 2


def test_cars_here_and_cars_promised_today_stand_by_promise():
    here_late = replace(CAR, key="booking-2", promised_at=NOW + 30 * HOUR)
    comes = replace(CAR, key="booking-3", is_here=False, arrives_at=NOW + HOUR)
    later = replace(comes, key="booking-4", promised_at=NOW + 40 * HOUR)
    next_day = replace(later, key="booking-5", arrives_at=NOW + 24 * HOUR)
    cars = [next_day, here_late, later, replace(comes, promised_at=NOW + 6 * HOUR), CAR]
    found = today(cars, plan=None, names=NAMES, now=NOW, next_open=TOMORROW)
    assert [line.car.key[-1] for line in found.due] == ["3", "1", "2"]
    assert [line.car.key[-1] for line in found.coming] == ["4"]
    assert [line.car.key[-1] for line in found.next_day] == ["5"]


def test_a_car_that_no_plan_can_take_says_why():
    plan = ShopPlan(
        as_of=NOW, steps=(), cars=(), unplaced=((CAR.key, say("No bay is left.")),)
    )
    line = line_of(CAR, plan=plan, names=NAMES, now=NOW)
    assert [str(why) for why in line.unplaced] == ["No bay is left."]
    assert line.doing is None


def test_differences_are_of_cars_ready_at_another_time_or_late():
    late = replace(CAR, key="booking-2")
    before = plan_of(CAR, late)
    after = replace(
        before,
        cars=(
            before.cars[0],
            replace(before.cars[1], ready_at=NOW + 9 * HOUR, late_min=120),
        ),
    )
    assert [one.car for one in differences(before, after)] == ["booking-2"]
    assert differences(before, before) == []
    assert len(differences(None, after)) == 2


def test_a_step_ends_where_the_next_begins_though_the_shop_opens_at_ten_to_eight():
    steps = steps_of("booking-1", NOW.replace(hour=7, minute=50))
    shown = doings(steps, names={})
    assert [one.starts_at for one in shown[1:]] == [one.ends_at for one in shown[:-1]]


def test_keys_in_a_sentence_become_names_and_other_words_stay():
    said = say(
        "{car}: {part} in {bay} by {people}, {why}",
        car="booking-9",
        part="install",
        bay="bay-1",
        people="person-3, person-4",
        why="bay-1 is warm",
    )
    assert str(named(said, NAMES)) == (
        "booking-9: film work in Bay 1 by Chidi, Mira, bay-1 is warm"
    )
