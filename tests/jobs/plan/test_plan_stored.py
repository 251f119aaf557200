"""A stored plan is read back as it was."""

from __future__ import annotations

import json
from datetime import UTC, date, datetime, timedelta, timezone
from decimal import Decimal

from hypothesis import given
from hypothesis import strategies as st

from jobs.plan.planned import CarPlanned, Move, Reached, ShopPlan, Step
from jobs.plan.shop import Part
from jobs.plan.stored import (
    plan_from_json,
    plan_to_json,
    sentences_from_json,
    sentences_to_json,
)
from shopapp.say import Say, say

texts = st.text(max_size=12)
zones = st.sampled_from([UTC, timezone(timedelta(hours=2))])
moments = st.integers(0, 10_000_000).flatmap(
    lambda minutes: st.builds(
        lambda zone: datetime.fromtimestamp(60 * minutes, tz=zone), zones
    )
)
values = st.one_of(
    texts, st.integers(), moments, st.dates(), st.decimals(-9, 9, places=2)
)
sentence = st.builds(lambda a, b: say("{a} until {b}.", a=a, b=b), values, values)
sentences = st.lists(sentence, max_size=2).map(tuple)
cars = st.sampled_from(["booking-1", "booking-2", "order-3"])
plans = st.builds(
    ShopPlan,
    as_of=moments,
    steps=st.lists(
        st.builds(
            Step,
            car=cars,
            part=st.sampled_from(Part),
            starts_at=moments,
            ends_at=moments,
            spot=texts,
            people=st.lists(texts, max_size=2).map(tuple),
            number=st.integers(0, 4),
            sequence=st.integers(0, 4),
        ),
        max_size=3,
    ).map(tuple),
    cars=st.lists(
        st.builds(
            CarPlanned,
            car=cars,
            ready_at=moments,
            latest_at=moments,
            promised_at=moments,
            begins=texts,
            late_min=st.integers(0, 999),
            why=sentences,
        ),
        max_size=2,
    ).map(tuple),
    reached=st.lists(
        st.builds(
            Reached,
            level=texts,
            value=st.integers(),
            bound=st.none() | st.integers(),
            is_proven=st.booleans(),
            first=st.none() | st.integers(),
        ),
        max_size=2,
    ).map(tuple),
    origin=texts,
    problem_hash=texts,
    engine=texts,
    seed=st.integers(),
    workers=st.integers(),
    unplaced=st.lists(st.tuples(cars, sentence), max_size=1).map(tuple),
    clashes=sentences,
    moves=st.lists(st.builds(Move, car=cars, what=sentences), max_size=2).map(tuple),
    assumed=sentences,
)


@given(plans)
def test_a_plan_is_read_back_as_it_was(plan: ShopPlan):
    assert plan_from_json(json.loads(json.dumps(plan_to_json(plan)))) == plan


def test_a_moment_in_a_sentence_stays_a_moment():
    at = datetime(2026, 8, 3, 14, 30, tzinfo=UTC)
    said: tuple[Say, ...] = (
        say("{car} is ready {at}.", car="KTR 4821", at=at),
        say("{n} on {day}, {price}", n=2, day=date(2026, 8, 3), price=Decimal("1.50")),
    )
    assert sentences_from_json(json.loads(json.dumps(sentences_to_json(said)))) == said


def test_what_a_later_program_no_longer_knows_is_left_out():
    stored = plan_to_json(
        ShopPlan(as_of=datetime(2026, 8, 3, tzinfo=UTC), steps=(), cars=())
    )
    assert plan_from_json({**stored, "was": 1}).steps == ()
