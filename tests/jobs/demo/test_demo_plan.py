"""The demo shop by its published plan, whenever it is made."""

from __future__ import annotations

import io
from collections.abc import Iterator
from datetime import UTC, datetime

import pytest
from django.core.management import call_command

from jobs.demo import cars
from jobs.demo.story import Story
from jobs.models import Absence, Booking, WorkOrder
from jobs.plan.car_queries import booking_key
from jobs.plan.planned import ShopPlan
from jobs.plan.queries import plan_of, published
from jobs.plan.shop import Part
from shopapp.models import the_shop

MOMENTS = [
    "2026-11-30T09:00",  # a Monday
    "2026-12-02T14:57",
    "2026-12-04T17:30",
    "2026-12-03T20:15",
    "2026-12-05T10:00",  # a Saturday
    "2026-12-06T12:00",
    "2027-03-12T16:10",  # the clocks go forward on the Sunday
    "2027-11-06T11:00",  # and back on this one
]


def nothing(*args: object, **kwargs: object) -> None:
    """Stands in for what no plan looks at: it takes its time."""


@pytest.fixture(params=MOMENTS)
def plan(request, db, monkeypatch) -> ShopPlan:
    """The plan of the demo shop made then, without the cars that have left."""
    local = datetime.fromisoformat(request.param).replace(tzinfo=the_shop().zone)
    now = local.astimezone(UTC)
    monkeypatch.setattr("django.utils.timezone.now", lambda: now)
    monkeypatch.setattr(cars, "CLOSED", ())
    for step in ("mix", "print_work_order", "rinse", "pull", "check_off"):
        monkeypatch.setattr(Story, step, nothing)
    call_command("demo", password="pw-of-the-demo", stdout=io.StringIO())
    row = published()
    assert row is not None
    return plan_of(row)


def test_the_demo_is_a_shop_that_works(plan: ShopPlan):
    """Most cars in time, one tight, one or two late and why; what was fixed is kept."""
    standing = [car.standing for car in plan.cars]
    assert standing.count("fits") * 3 >= len(standing) * 2
    assert 1 <= standing.count("late") <= 3
    assert "tight" in standing
    assert all(car.why for car in plan.cars if car.standing != "fits")
    assert not plan.unplaced
    assert {car.car for car in plan.cars} == set(_cars_of_the_shop())
    assert Part.CUT in {step.part for step in plan.steps}
    _is_kept(Booking.objects.get(wish__isnull=False), plan)


def _cars_of_the_shop() -> Iterator[str]:
    booked = Booking.objects.filter(state=Booking.State.BOOKED)
    here = WorkOrder.objects.values_list("booking_id", flat=True)
    yield from map(booking_key, [*here, *booked.values_list("pk", flat=True)])


def _is_kept(booking: Booking, plan: ShopPlan) -> None:
    """Its day, on which the other installer is away, and its bay."""
    steps = plan.steps_of(booking_key(booking.pk))
    film = [step for step in steps if step.part is Part.INSTALL]
    assert film[0].starts_at.astimezone(the_shop().zone).date() == booking.wish.day
    assert booking.wish.day == Absence.objects.get().first_day
    assert {step.spot for step in film} == {f"bay-{booking.bay_id}"}
