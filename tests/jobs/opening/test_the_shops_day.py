"""A day is the shop's day, wherever the shop lies."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

import pytest

from jobs.film.row_queries import stock_rows
from jobs.models import Film, OffCut
from jobs.solutions.request_queries import sheet_request
from jobs.stages.table import Stage
from mixing.models import StockContainer, WaterTest
from shopapp.models import Shop
from tests.makers import make_bench, make_roll, make_workorder

pytestmark = pytest.mark.django_db

CASES = [
    # Half past six in the evening of the last good day.
    ("America/Chicago", datetime(2031, 12, 2, 0, 30, tzinfo=UTC), True),
    # Nine in the morning of the day after it.
    ("Australia/Sydney", datetime(2031, 12, 1, 22, 0, tzinfo=UTC), False),
]


def in_zone(zone: str) -> None:
    Shop.objects.update(time_zone=zone)


@pytest.mark.parametrize(("zone", "at", "is_good"), CASES)
def test_a_container_is_good_until_the_end_of_the_shops_day(manager, zone, at, is_good):
    in_zone(zone)
    make_bench()
    StockContainer.objects.update(expires_on=date(2031, 12, 1))
    order = make_workorder(manager, stage=Stage.INSTALL, at=at)
    (alcohol,) = sheet_request(order, at=at).stock
    assert (alcohol.expires_in_days >= 0) is is_good


@pytest.mark.parametrize(
    ("zone", "kept_at", "day"),
    [
        (
            "America/Chicago",
            datetime(2031, 12, 2, 0, 30, tzinfo=UTC),
            date(2031, 12, 1),
        ),
        (
            "Australia/Sydney",
            datetime(2031, 12, 1, 22, 0, tzinfo=UTC),
            date(2031, 12, 2),
        ),
    ],
)
def test_an_off_cut_is_listed_on_the_shops_day(zone, kept_at, day):
    in_zone(zone)
    roll = make_roll()
    OffCut.objects.create(
        film=Film.objects.get(),
        roll=roll,
        code="O1",
        width_mm=600,
        length_mm=900,
        kept_at=kept_at,
    )
    assert day in stock_rows()[-1]


def test_water_is_as_old_as_the_shops_calendar_says(manager):
    in_zone("America/Chicago")
    make_bench()
    WaterTest.objects.create(source="tap", tested_on=date(2031, 12, 1))
    at = datetime(2031, 12, 2, 0, 30, tzinfo=UTC)
    order = make_workorder(manager, stage=Stage.INSTALL, at=at - timedelta(hours=2))
    assert sheet_request(order, at=at).water.tested_days_ago == 0
