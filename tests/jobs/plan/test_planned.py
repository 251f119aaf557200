"""A plan in moments, and its words."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta

from jobs.plan.planned import CarPlanned, ShopPlan, Step, merged
from jobs.plan.shop import Part
from jobs.plan.words import PART_WORDS

READY = datetime(2031, 5, 6, 15, tzinfo=UTC)
CAR = CarPlanned(
    car="booking-1",
    ready_at=READY,
    latest_at=READY + timedelta(hours=1),
    promised_at=READY + timedelta(hours=2),
)


def test_every_part_has_a_word():
    assert set(PART_WORDS) == set(Part)


def test_a_car_stands_in_time_or_tight_or_late():
    assert CAR.standing == "fits"
    assert replace(CAR, promised_at=READY).standing == "tight"
    assert replace(CAR, promised_at=CAR.latest_at).standing == "fits"
    assert replace(CAR, late_min=15).standing == "late"


def test_pieces_of_one_work_are_one_until_other_work_or_other_hands_come():
    def piece(at: int, *people: str, car: str = "booking-1") -> Step:
        begins = READY + timedelta(hours=at)
        return Step(
            car=car,
            part=Part.INSTALL,
            starts_at=begins,
            ends_at=begins + timedelta(hours=1),
            people=people,
            number=at,
        )

    steps = [piece(2, "a"), piece(0, "a"), piece(1, "a"), piece(3, "b"), piece(5, "a")]
    found = [(one.number, one.ends_at - one.starts_at) for one in merged(steps)]
    assert found == [
        (0, timedelta(hours=3)),
        (3, timedelta(hours=1)),
        (5, timedelta(hours=1)),
    ]
    between = [piece(0, "a"), piece(1, "a", car="booking-2"), piece(2, "a")]
    assert list(merged(between)) == between


def test_a_car_is_looked_at_where_it_stands_by_then_and_not_in_the_bay_it_left():
    def step(part: Part, since: int, until: int, spot: str = "") -> Step:
        return Step(
            car="booking-1",
            part=part,
            starts_at=READY + timedelta(hours=since),
            ends_at=READY + timedelta(hours=until),
            spot=spot,
        )

    intake, look = step(Part.INTAKE, 0, 1), step(Part.LOOK, 20, 21)
    film = step(Part.INSTALL, 4, 8, "bay-1")
    plan = ShopPlan(
        as_of=READY,
        steps=(
            *(intake, look, film),
            step(Part.STAY, 4, 9, "bay-1"),
            step(Part.PARKED, 9, 21, "place-1"),
        ),
        cars=(CAR,),
    )
    assert plan.spot_of(intake) == ""
    assert plan.spot_of(film) == "bay-1"
    assert plan.spot_of(look) == "place-1"
