"""A plan in moments, and its words."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta

from jobs.plan.planned import CarPlanned
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
