"""Taking cars in: the booking becomes a work order."""

from __future__ import annotations

import threading
from datetime import timedelta
from decimal import Decimal

import pytest
from django.db import connections
from django.utils import timezone

from jobs.bookings.arrival_actions import take_in_car
from jobs.models import (
    Booking,
    Checklist,
    ChecklistVersion,
    WorkOrder,
)
from shopapp.frame import Refused, perform
from tests.makers import (
    NOW,
    make_bay,
    make_booking,
    make_customer,
    make_film,
    make_place,
    make_tap,
    make_vehicle,
    make_workorder,
)

pytestmark = pytest.mark.django_db
KEY = "k" * 16


@pytest.fixture
def desk_client(client, desk):
    client.force_login(desk)
    return client


def take_in(client, booking, **more):
    return client.post(f"/arrivals/{booking.pk}/take-in/", {"key": KEY, **more})


def test_a_car_is_taken_in_and_everything_agreed_goes_with_it(desk_client):
    place = make_place()
    booking = make_booking(
        deposit=Decimal(300),
        added_work=(
            {
                "name": "old film off",
                "minutes": 90,
                "when": "before_prep",
                "skill": "prep",
                "price": Decimal(150),
            },
        ),
    )
    received = {"key": "d" * 16, "amount": "300", "how": "cash"}
    desk_client.post(f"/bookings/{booking.pk}/deposits/record/", received)
    response = take_in(
        desk_client, booking, key_tag="7", mileage="12000", where=f"place-{place.pk}"
    )
    workorder = WorkOrder.objects.get()
    assert response["Location"] == f"/workorders/{workorder.pk}/"
    assert workorder.panels.count() == booking.panels.count() == 8
    assert workorder.added_work.get().name == "old film off"
    assert (workorder.key_tag, workorder.mileage) == ("7", 12_000)
    assert workorder.place == place
    assert workorder.stage == "intake"
    payment = workorder.payments.get()
    assert (payment.amount, payment.how) == (Decimal(300), "cash")
    assert Booking.objects.get().state == "arrived"


def test_the_history_has_the_arrival_and_no_name(desk_client, desk):
    take_in(desk_client, make_booking())
    event = WorkOrder.objects.get().events.get()
    assert (event.what, event.action, event.by) == ("arrived", "arrival.take_in", desk)
    assert "Robin" not in str(event.facts)


def test_pressing_twice_takes_in_once(desk_client):
    booking = make_booking()
    first, again = take_in(desk_client, booking), take_in(desk_client, booking)
    assert first["Location"] == again["Location"]
    assert WorkOrder.objects.count() == 1


def test_a_car_already_here_is_not_taken_in_by_a_second_form(desk_client):
    booking = make_booking()
    take_in(desk_client, booking)
    response = take_in(desk_client, booking, key="x" * 16)
    assert response.status_code == 422
    assert "taken in already" in response.content.decode()


def test_a_stranger_takes_nothing_in(client, stranger):
    client.force_login(stranger)
    assert take_in(client, make_booking()).status_code == 403


def test_nonsense_in_the_mileage_stays_and_is_said(desk_client):
    response = take_in(desk_client, make_booking(), mileage="many", key_tag="7")
    page = response.content.decode()
    assert response.status_code == 422
    assert "Enter a whole number." in page
    assert 'value="many"' in page
    assert not WorkOrder.objects.exists()


def test_a_bay_that_holds_a_car_is_refused(desk_client):
    bay = make_bay()
    make_workorder(bay=bay)
    second = make_booking(vehicle=make_vehicle(plate="OTH 2"))
    response = take_in(desk_client, second, where=f"bay-{bay.pk}")
    assert response.status_code == 422
    assert "Bay 1 holds W-31-0001. Move that car first." in response.content.decode()
    assert WorkOrder.objects.count() == 1


def test_an_account_customers_order_is_on_account():
    dealer = make_customer("Dealer", is_account=True)
    order = make_workorder(booking=make_booking(vehicle=make_vehicle(dealer)))
    assert order.on_account


def test_the_intake_checklist_comes_with_the_car():
    checklist = Checklist.objects.create(code="intake", name="Intake")
    version = ChecklistVersion.objects.create(
        checklist=checklist, number=1, items=[], why="first"
    )
    assert make_workorder().checklists.get().version == version


def test_numbers_run_on_within_the_year_and_begin_again_with_the_next():
    assert make_workorder().number == "W-31-0001"
    second = make_workorder(booking=make_booking(vehicle=make_vehicle(plate="B")))
    assert second.number == "W-31-0002"
    next_year = make_booking(vehicle=make_vehicle(plate="C"), at=NOW)
    third = make_workorder(booking=next_year, at=NOW + timedelta(days=365))
    assert third.number == "W-32-0001"


@pytest.mark.django_db(transaction=True)
def test_two_cars_at_once_get_two_numbers():
    film, answers = make_film(), []
    bookings = [
        make_booking(vehicle=make_vehicle(plate=f"T {n}"), film=film) for n in range(4)
    ]
    people = [booking.booked_by for booking in bookings]
    start = threading.Barrier(4)

    def one(number: int) -> None:
        start.wait()
        try:
            tap = make_tap(people[number])
            answer = perform(tap, take_in_car, booking_pk=bookings[number].pk)
            answers.append(answer["pk"])
        finally:
            connections.close_all()

    threads = [threading.Thread(target=one, args=(n,)) for n in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(30)
    numbers = WorkOrder.objects.values_list("number", flat=True)
    assert len(answers) == 4
    assert sorted(numbers) == [f"W-31-{n:04d}" for n in range(1, 5)]


def test_a_cancelled_booking_is_not_taken_in(desk):
    booking = make_booking(desk)
    Booking.objects.update(state="cancelled")
    with pytest.raises(Refused, match="cancelled"):
        perform(make_tap(desk), take_in_car, booking_pk=booking.pk)


def test_the_list_shows_todays_cars_and_the_late_ones(desk_client):
    now = timezone.now()
    make_booking(at=now, vehicle=make_vehicle(plate="NOW 1"))
    make_booking(at=now - timedelta(days=3), vehicle=make_vehicle(plate="OLD"))
    page = desk_client.get("/arrivals/").content.decode()
    assert "NOW 1" in page
    assert "Expected before today, not here" in page


def test_the_car_that_is_expected_has_a_page(desk_client):
    booking = make_booking(at=NOW)
    page = desk_client.get(f"/arrivals/{booking.pk}/").content.decode()
    assert "TST 101" in page
    assert "8 panels" in page
