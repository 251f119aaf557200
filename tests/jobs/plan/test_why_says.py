"""Why a promise cannot be kept, in the words of the shop."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from jobs.plan.planned import CarPlanned
from jobs.plan.shop import Car, Part
from jobs.plan.why_says import (
    alone_says,
    bottleneck_says,
    chain_says,
    clash_says,
    clashes_say,
    part_of,
    tight_says,
)
from jobs.scheduling.alone import alone
from jobs.scheduling.bottleneck import Bottleneck
from jobs.scheduling.chain import ChainLink, Wait
from jobs.scheduling.problem import (
    Activity,
    Due,
    Link,
    Problem,
    Resource,
    Run,
    Span,
    late_after,
)
from jobs.scheduling.together import NOT_KNOWN, Clash
from shopapp.say import Say
from tests.jobs.scheduling.why_shop import of

ZONE = ZoneInfo("Europe/Berlin")
MONDAY = datetime(2026, 6, 1, 8, tzinfo=ZONE)
TICKS_A_DAY = 40
CAR, OTHER = "booking-4", "booking-7"


@dataclass(frozen=True)
class Week:
    """Open every day from 8 to 18, in quarter hours."""

    tick_min: int = 15

    def start_of(self, tick: int) -> datetime:
        day, quarter = divmod(tick, TICKS_A_DAY)
        moment = MONDAY + timedelta(days=day, minutes=15 * quarter)
        return moment.astimezone(UTC)

    def end_of(self, tick: int) -> datetime:
        return self.start_of(tick - 1) + timedelta(minutes=15)


def local(sentence: Say, *, zone: ZoneInfo = ZONE) -> str:
    """The sentence as the shop reads it, without the month."""
    told = tuple(
        (key, f"{value.astimezone(zone):%a %H:%M}" if hasattr(value, "hour") else value)
        for key, value in sentence.params
    )
    return str(Say(sentence.text, told))


def full_front(*, promise: int, nights: int = 1) -> Problem:
    """It comes on Tuesday at 10:00 and settles until an hour after an opening."""
    sizes = {"prep": 10, "install": 32, "look": 3}
    keys = [f"{CAR}/{part}/0" for part in sizes]
    opens = tuple(
        Run(first=1 + TICKS_A_DAY * day, value=TICKS_A_DAY * (day + nights) + 4, rise=0)
        for day in range(5)
    )
    settles = (Run(first=0, value=0, rise=0), *opens)
    return Problem(
        name="",
        horizon=400,
        activities=tuple(
            Activity(
                key=key,
                job=CAR,
                size=size,
                needs=(of("person-1"),),
                starts=((48, 400),) if "prep" in key else None,
            )
            for key, size in zip(keys, sizes.values(), strict=True)
        ),
        links=(
            Link(before=keys[0], after=keys[1]),
            Link(before=keys[1], after=keys[2], start_by_end=settles),
        ),
        spans=(
            Span(key=f"{CAR}/stay/0", first=keys[0], last=keys[2], need=of("bay-1")),
        ),
        resources=(Resource(key="bay-1"), Resource(key="person-1")),
        dues=(Due(activity=keys[2], since=keys[0], late_by_ready=late_after(promise)),),
    )


def told_alone(problem: Problem, **more: object) -> str:
    found = alone(problem, CAR)
    assert found.is_impossible
    week = Week()
    car = Car(
        key=CAR,
        name="KTR 4821",
        arrives_at=week.start_of(48),
        promised_at=week.end_of(112),
        works=(),
    )
    car = replace(car, **more)
    told = alone_says(found, problem, car=car, clock=week, now=MONDAY)
    return " ".join(local(each) for each in told)


def test_a_car_alone_tells_its_work_and_its_hours():
    assert told_alone(full_front(promise=112)) == (
        "Alone in an empty shop it needs 2 h 30 min of prep, 8 h of film work and 45 "
        "min of final look: coming Tue 10:00 it can be ready Thu 09:45 at the "
        "earliest; promised Wed 16:00. Its film would settle until Thu 09:00."
    )


def test_a_car_that_should_have_come_is_told_from_now_on():
    problem = full_front(promise=112)
    told = told_alone(problem, arrives_at=MONDAY - timedelta(days=1))
    assert "coming Mon 08:00" in told


def test_several_nights_are_told_by_their_end():
    told = told_alone(full_front(promise=112, nights=3))
    assert told.endswith("Its film would settle until Sat 09:00.")


def test_of_a_car_that_is_here_what_is_left_is_told():
    told = told_alone(full_front(promise=112), is_here=True)
    assert told.startswith("Alone in an empty shop it still needs 2 h 30 min of prep")
    assert "coming" not in told


def test_a_car_whose_film_settles_already_tells_until_when():
    told = told_alone(full_front(promise=112), settles_until=Week().start_of(124))
    assert told == (
        "Its film settles until Thu 09:00: it can be ready Thu 09:45 at the earliest; "
        "promised Wed 16:00."
    )


def test_nights_that_the_package_asks_for_are_told():
    told = told_alone(full_front(promise=112), ready_from=Week().start_of(136))
    assert told == (
        "By the nights of its package it is not handed over before Thu 12:00; promised "
        "Wed 16:00."
    )


def test_a_car_without_room_is_told_so():
    problem = replace(full_front(promise=112), horizon=50)
    assert told_alone(problem).startswith("Even in an empty shop there is no room")


def test_a_tight_car_tells_both_hours():
    car = CarPlanned(
        car=CAR,
        ready_at=Week().end_of(24),
        latest_at=Week().end_of(40),
        promised_at=Week().end_of(32),
    )
    assert local(tight_says(car)) == (
        "It is ready Mon 14:00 by the plan; if its work takes long, Mon 18:00."
    )


@pytest.mark.parametrize(
    ("count", "ends"),
    [
        (1, "booking-0 cannot be ready in time beside what has begun or is fixed."),
        (2, "booking-0, booking-1 cannot both be ready in time; either of them can."),
        (3, "booking-2 cannot all be ready in time; any two of them can."),
        (6, "booking-5 cannot all be ready in time; any five of them can."),
    ],
)
def test_cars_that_cannot_all_be_ready(count, ends):
    jobs = tuple(f"booking-{i}" for i in range(count))
    (told,) = clash_says(Clash(jobs=jobs, is_minimal=True, is_undecided=False))
    assert str(told).endswith(ends)


def test_what_is_not_certainly_the_smallest_set_promises_no_way_out():
    clash = Clash(jobs=(CAR, OTHER, "booking-9"), is_minimal=False, is_undecided=False)
    (told,) = clash_says(clash)
    assert str(told) == "booking-4, booking-7, booking-9 cannot all be ready in time."


def test_what_is_undecided_is_not_told():
    assert clash_says(NOT_KNOWN) == ()
    assert clashes_say(None, (), clock=Week()) == ()


INSTALLERS = Bottleneck(
    resources=("person-1", "person-2"),
    start=0,
    end=3 * TICKS_A_DAY,
    need=247,
    have=218,
    jobs=(CAR, OTHER),
)


def test_a_group_that_is_short_is_told_in_hours():
    words = {("person-1", "person-2"): "installers"}
    told = local(bottleneck_says(INSTALLERS, clock=Week(), words=words))
    assert told == "Mon 08:00 to Wed 18:00, installers: 62 h needed, 54 h there."


def test_a_group_without_a_word_is_told_by_its_members():
    told = local(bottleneck_says(INSTALLERS, clock=Week()))
    assert told.startswith("Mon 08:00 to Wed 18:00, person-1, person-2: 62 h needed")


def test_where_no_group_is_short_the_order_is_said_to_block():
    clash = Clash(jobs=(CAR, OTHER), is_minimal=True, is_undecided=False)
    told = clashes_say(clash, (), clock=Week())
    assert [str(each) for each in told] == [
        "booking-4, booking-7 cannot both be ready in time; either of them can.",
        "There would be hours enough for booking-4, booking-7; the order of their work "
        "stands in the way.",
    ]
    assert len(clashes_say(clash, [INSTALLERS], clock=Week())) == 2
    assert len(clashes_say(NOT_KNOWN, [INSTALLERS], clock=Week())) == 1


def link(
    wait: Wait, until: int, *, activity: str = "install", **other: str
) -> ChainLink:
    job = other.pop("job", CAR)
    return ChainLink(
        wait=wait,
        job=job,
        activity=f"{job}/{activity}/0",
        since=0,
        until=until,
        **other,
    )


@pytest.mark.parametrize(
    ("waits", "told"),
    [
        (
            link(Wait.TAKEN, 64, behind=f"{OTHER}/stay/0", of=OTHER, resource="bay-2"),
            "It waits for bay-2 until Tue 14:00, where booking-7 stands.",
        ),
        (
            link(Wait.TAKEN, 40, behind=f"{OTHER}/stay/0", of=OTHER, resource="bay-2"),
            "It waits for bay-2 until Mon 18:00, where booking-7 stands.",
        ),
        (
            link(
                Wait.TAKEN, 64, behind=f"{OTHER}/prep/0", of=OTHER, resource="person-3"
            ),
            "It waits for person-3 until Tue 14:00, at work on booking-7.",
        ),
        (
            link(Wait.TAKEN, 64, behind=f"{CAR}/cut/0", of=CAR, resource="person-3"),
            "It waits for person-3 until Tue 14:00, with other work on it.",
        ),
        (
            link(Wait.TAKEN, 8, behind=f"{OTHER}/cut/0", of=OTHER, resource="cutter-1"),
            "It waits for cutter-1 until Mon 10:00, taken by booking-7.",
        ),
        (
            link(Wait.AWAY, 80, resource="person-3"),
            "It waits for person-3, who is away until Wed 08:00.",
        ),
        (
            link(Wait.AWAY, 80, resource="bay-2"),
            "It waits for bay-2, which is closed until Wed 08:00.",
        ),
        (link(Wait.SETTLING, 84, activity="look"), "It settles until Wed 09:00."),
        (link(Wait.ARRIVAL, 48, activity="prep"), "It comes Tue 10:00."),
        (
            link(Wait.OPENING, 80, activity="look"),
            "It waits for Wed 08:00, when the look can begin.",
        ),
        (
            link(Wait.PIN, 44, activity="prep"),
            "It waits for Tue 09:00, for which the prep is fixed.",
        ),
    ],
)
def test_each_wait_has_its_sentence(waits, told):
    assert [local(each) for each in chain_says([waits], clock=Week())] == [told]


def test_stages_in_a_row_and_what_has_begun_are_not_told():
    stage = link(Wait.STAGE, 10, behind=f"{CAR}/prep/0", of=CAR)
    begun = link(Wait.PIN, 0, activity="prep")
    assert chain_says([stage, begun], clock=Week()) == ()


def test_what_another_car_waits_for_names_that_car():
    first = link(Wait.TAKEN, 64, behind=f"{OTHER}/stay/0", of=OTHER, resource="bay-2")
    then = link(Wait.SETTLING, 60, activity="look", job=OTHER)
    told = [local(each) for each in chain_says([first, then, then], clock=Week())]
    assert told[1:] == ["booking-7 settles until Tue 13:00."]


def test_the_key_of_a_step_names_its_part():
    assert part_of("booking-4/install/1") is Part.INSTALL
    assert part_of("booking-4/here") is None
    assert part_of("booking-4") is None
