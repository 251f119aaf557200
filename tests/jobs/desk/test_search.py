"""The one field: where is the car, when is it ready; and who may find what."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from jobs.desk.search_queries import MOST, Found, found
from jobs.models import Booking, WorkOrder
from jobs.search.spelling import asked_for
from jobs.stages.table import Stage
from shopapp.models import the_shop
from tests import makers

pytestmark = pytest.mark.django_db
MOST_QUERIES = 22


def search(typed: str, *, knows_customers: bool = True) -> Found:
    return found(
        asked_for(typed),
        knows_customers=knows_customers,
        now=timezone.now(),
        shop=the_shop(),
    )


def plates(hits: Found) -> list[str]:
    return [car.vehicle.plate for car in hits.cars]


def page(role: str, typed: str) -> str:
    person = makers.make_person(role, username=f"{role}-who-asks")
    client = Client()
    client.force_login(person)
    answer = client.get("/search/", {"q": typed})
    assert answer.status_code == 200
    return answer.content.decode()


@pytest.fixture
def here() -> WorkOrder:
    """A dealer's car in Bay 1, in install."""
    customer = makers.make_customer("Mina Oyelaran", phone="555-0109")
    car = makers.make_vehicle(customer, plate="SDW 2207")
    booking = makers.make_booking(vehicle=car, order_number="HC-5521")
    return makers.make_workorder(
        booking=booking,
        bay=makers.make_bay("Bay 1"),
        stage=Stage.INSTALL,
        number="W-26-0010",
    )


@pytest.mark.parametrize(
    "typed",
    ["SDW2207", "sdw 2207", "5550109", "mina", "oyelaran 2207", "hc5521", "042788"],
)
def test_the_car_is_found_with_where_it_is(typed: str, here: WorkOrder):
    (car,) = search(typed).cars
    assert car.now is not None
    assert car.now.order == here
    assert car.now.card is not None
    assert car.now.card.state == "install"


def test_the_hit_reads_bay_promise_and_hour_by_the_plan(here: WorkOrder):
    ready_at = here.promised_at - timedelta(hours=2)
    makers.make_forecast(here.booking, ready_at=ready_at)
    text = page("desk", "SDW2207")
    for said in ("install", "Bay 1", "promised", "by the plan", "555-0109", "HC-5521"):
        assert said in text
    for name, pk in (
        ("workorders", here.pk),
        ("bookings", here.booking_id),
        ("customers", here.customer_id),
    ):
        assert f'href="/{name}/{pk}/"' in text


def test_an_installer_finds_the_car_but_nobody_by_name_or_phone(here: WorkOrder):
    for typed in ("5550109", "oyelaran", "mina 2207"):
        hits = search(typed, knows_customers=False)
        assert hits.is_nothing, typed
    text = page("installer", "SDW2207")
    assert "Bay 1" in text
    assert "555-0109" not in text
    assert f"/customers/{here.customer_id}/" not in text
    assert f"/vehicles/{here.vehicle_id}/" not in text


def test_a_car_that_is_expected_says_when_it_comes():
    booking = makers.make_booking(at=timezone.now())
    (car,) = search("TST101").cars
    assert car.now is not None
    assert car.now.booking == booking
    assert car.now.is_expected
    assert "comes" in page("installer", "TST101")


def test_a_car_that_was_to_come_by_now_is_not_here_yet():
    makers.make_booking(at=timezone.now() - timedelta(days=1))
    assert "not here yet; was to come" in page("desk", "TST101")


def test_a_closed_order_is_found_by_its_number(here: WorkOrder):
    WorkOrder.objects.filter(pk=here.pk).update(
        stage=Stage.CLOSED.value, handed_over_at=makers.NOW
    )
    number = WorkOrder.objects.get(pk=here.pk)
    number.number = "W-19-0042"
    number.save()
    (car,) = search("w190042").cars
    assert car.now is not None
    assert car.now.order == here
    assert "handed over" in page("desk", "W-19-0042")


def test_the_stay_of_today_is_said_first_and_the_one_asked_for_beside_it(
    here: WorkOrder,
):
    olds, stage = [], here.stage
    # A car that is in is not taken in twice.
    WorkOrder.objects.filter(pk=here.pk).update(stage=Stage.CLOSED)
    for no in range(6):
        booking = makers.make_booking(
            vehicle=here.vehicle, at=makers.NOW - timedelta(days=40 + no)
        )
        old = makers.make_workorder(booking=booking, stage=Stage.CLOSED)
        old.number, old.handed_over_at = f"W-19-{no:04d}", makers.NOW
        old.save()
        olds.append(old)
    WorkOrder.objects.filter(pk=here.pk).update(stage=stage)
    (car,) = search("W-19-0005").cars
    assert car.now is not None
    assert car.now.order == here
    assert car.others[0].order == olds[-1]
    assert car.is_more


def test_a_cancelled_booking_is_no_promise():
    booking = makers.make_booking()
    booking.state = Booking.State.CANCELLED
    booking.save()
    text = page("desk", "TST 101")
    assert "cancelled" in text
    assert "promised" not in text


def test_cars_that_are_here_come_before_newer_ones(here: WorkOrder):
    for no in range(MOST + 3):
        makers.make_vehicle(here.customer, plate=f"OLD {no}", vin="")
    hits = search("Oyelaran")
    assert plates(hits)[0] == "SDW 2207"
    assert len(hits.cars) == MOST
    assert hits.is_more
    assert hits.customers[0].cars == MOST + 4  # type: ignore[attr-defined]


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("", "Where is the car"),
        ("x", "two letters or digits"),
        ("%%", "two letters or digits"),
        ("qqqq", "Nothing found by “qqqq”"),
        ("<b>qq", "Nothing found by “&lt;b&gt;qq”"),
        ("\x00zz" * 90, "Nothing found by"),
    ],
)
def test_what_finds_nothing_says_what_to_try(typed: str, said: str):
    text = page("desk", typed)
    assert said in text
    assert "Only letters and digits count" in text


@pytest.mark.parametrize("typed", ["SD", "*", "W-", "___", "%S", "'; --", "ж1"])
def test_odd_signs_are_no_pattern(typed: str, here: WorkOrder):
    assert plates(search(typed)) == (["SDW 2207"] if typed == "SD" else [])


def test_more_cars_are_no_more_queries(here: WorkOrder):
    def asked() -> int:
        with CaptureQueriesContext(connection) as queries:
            search("Example Saloon")
        return len(queries)

    asked()
    one = asked()
    for no in range(8):
        car = makers.make_vehicle(here.customer, plate=f"NEW {no}")
        booking = makers.make_booking(vehicle=car)
        if no % 2:
            makers.make_workorder(booking=booking)
    assert len(search("Example Saloon").cars) == 9
    assert asked() <= one + 1  # the booking's cure table, once for all
    assert one <= MOST_QUERIES


def test_cars_without_a_plate_are_told_apart_and_found_by_what_they_have():
    customer = makers.make_customer("Hollow Creek", phone="555-0140")
    same = {"plate": "", "make": "Orrery", "model": "Atlas", "colour": "black"}
    first = makers.make_vehicle(customer, **same, vin="1M8GDM9AXKP042788")
    other = makers.make_vehicle(customer, **same, vin="1M8GDM9AXKP042791")
    stocked = makers.make_vehicle(customer, **same, vin="", stock_number="N-4711")
    assert {car.vehicle for car in search("black atlas").cars} == {
        first,
        other,
        stocked,
    }
    text = page("desk", "hollow creek")
    for said in ("black 042788", "black 042791", "N-4711"):
        assert said in text
    for typed, car in (("042788", first), ("2791", other), ("n4711", stocked)):
        assert [hit.vehicle for hit in search(typed).cars] == [car]
