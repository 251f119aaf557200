"""Money that comes in, money asked for, money that goes back."""

from __future__ import annotations

from decimal import Decimal

import pytest

from jobs.models import Booking, FilmReservation, WorkOrder
from tests.makers import make_booking, make_workorder

pytestmark = pytest.mark.django_db
KEY = "k" * 16


@pytest.fixture(autouse=True)
def desk_client(client, desk):
    client.force_login(desk)
    return client


def pay(client, order, amount, *, key=KEY, **more):
    url = f"/workorders/{order.pk}/payments/record/"
    typed = {"key": key, "amount": amount, "how": "card", **more}
    return client.post(url, typed)


def money(client, order):
    return client.get(f"/workorders/{order.pk}/handover/").context["money"]


def deposit(client, booking, amount="300", **more):
    url = f"/bookings/{booking.pk}/deposits/record/"
    return client.post(url, {"key": "d" * 16, "amount": amount, "how": "cash", **more})


def cancel(client, booking, **typed):
    url = f"/bookings/{booking.pk}/cancel/"
    return client.post(url, {"key": "c" * 16, **typed})


def page_of(client, url):
    return client.get(url).content.decode()


# more than is owed


def test_more_than_is_owed_is_asked_about_and_not_taken(client):
    order = make_workorder()
    pay(client, order, "460", key="a" * 16)
    answer = pay(client, order, "9999")
    assert answer.status_code == 422
    page = answer.content.decode()
    assert "Only 1,340.00 is owed; 9,999.00 is 8,659.00 too much." in page
    assert "Yes, so much was received" in page
    assert order.payments.count() == 1


def test_it_is_kept_once_somebody_says_that_it_came(client):
    order = make_workorder()
    pay(client, order, "2000")
    kept = pay(client, order, "2000", key="o" * 16, over="on")
    assert kept.status_code == 303
    page = page_of(client, f"/workorders/{order.pk}/handover/")
    assert "Paid beyond the price:" in page
    assert "200.00" in page


def test_the_whole_balance_is_taken_without_a_question(client):
    order = make_workorder()
    assert pay(client, order, "1800").status_code == 303
    assert money(client, order).owed == 0


# taken back


def reverse(client, order, payment, **typed):
    url = f"/workorders/{order.pk}/payments/{payment.pk}/reverse/"
    return client.post(url, {"key": "r" * 16, "because": "typed twice", **typed})


def test_a_payment_is_taken_back_by_an_entry_of_its_own(client):
    order = make_workorder()
    pay(client, order, "300")
    payment = order.payments.get()
    for _twice in (1, 2):
        reverse(client, order, payment)
    assert money(client, order).paid == 0
    assert [row.amount for row in order.payments.all()] == [
        Decimal(300),
        Decimal(-300),
    ]
    history = page_of(client, f"/workorders/{order.pk}/history/")
    assert "Payment taken back: 300.00. typed twice" in history


def test_a_payment_is_taken_back_once_and_with_a_reason(client):
    order = make_workorder()
    pay(client, order, "300")
    payment = order.payments.get()
    asked = reverse(client, order, payment, because=" ")
    assert "Say why it is taken back." in asked.content.decode()
    reverse(client, order, payment)
    again = reverse(client, order, payment, key="s" * 16)
    assert "taken back already" in again.content.decode()
    assert order.payments.count() == 2


# asked for, and paid


def test_a_deposit_asked_for_is_not_a_deposit_paid(client):
    booking = make_booking(deposit=Decimal(300))
    client.post(f"/arrivals/{booking.pk}/take-in/", {"key": KEY})
    order = WorkOrder.objects.get()
    assert money(client, order).paid == 0
    page = page_of(client, f"/workorders/{order.pk}/handover/")
    assert "Deposit asked for and not paid:" in page


def test_a_paid_deposit_says_how_and_when_and_goes_with_the_car(client):
    booking = make_booking(deposit=Decimal(300))
    url = f"/bookings/{booking.pk}/"
    assert "not paid yet" in page_of(client, url)
    for _twice in (1, 2):
        deposit(client, booking)
    page = page_of(client, url)
    assert "not paid yet" not in page
    assert "cash" in page
    client.post(f"/arrivals/{booking.pk}/take-in/", {"key": KEY})
    order = WorkOrder.objects.get()
    assert money(client, order).paid == 300
    assert order.payments.get().how == "cash"


def test_a_deposit_beyond_the_price_is_asked_about(client):
    booking = make_booking()
    answer = deposit(client, booking, "3000")
    assert "Only 1,800.00 is owed; 3,000.00 is 1,200.00 too much." in (
        answer.content.decode()
    )


# a booking ends, and comes back


def test_cancelling_with_a_paid_deposit_asks_where_it_goes(client):
    booking = make_booking(deposit=Decimal(300))
    deposit(client, booking)
    asked = cancel(client, booking)
    assert asked.status_code == 422
    assert "A deposit of 300.00 was paid. Say what happens to it." in (
        asked.content.decode()
    )
    assert Booking.objects.get().state == "booked"


def test_a_deposit_given_back_is_an_entry_and_in_the_history(client):
    booking = make_booking(deposit=Decimal(300))
    deposit(client, booking)
    cancel(client, booking, deposit="given_back", because="sold the car")
    page = page_of(client, f"/bookings/{booking.pk}/")
    assert "Cancelled. sold the car Deposit 300.00 given back" in page
    assert "-300.00" in page


def test_a_cancelled_booking_is_taken_back_with_its_film(client):
    booking = make_booking()
    cancel(client, booking)
    assert FilmReservation.objects.get().released_at is not None
    url = f"/bookings/{booking.pk}/restore/"
    for _twice in (1, 2):
        client.post(url, {"key": "b" * 16})
    assert Booking.objects.get().state == "booked"
    assert FilmReservation.objects.get().released_at is None
    page = page_of(client, f"/bookings/{booking.pk}/")
    assert page.count("booked again") == 1


def test_a_booking_has_a_history_of_its_changes(client):
    booking = make_booking()
    typed = {
        "key": "e" * 16,
        "size_class": "D",
        "body": "sedan",
        "model": "Saloon",
        "vin": "1M8GDM9AXKP042788",
        "package": "full_front",
        "package_shown": "full_front",
        "method": "hand_fitted",
        "film": booking.film_id,
        "arrives_at": "2031-05-07T09:00",
        "promised_at": "2031-05-09T16:00",
        "price": "1950",
    }
    typed |= {f"panel_{row.panel}": "on" for row in booking.panels.all()}
    answer = client.post(f"/bookings/{booking.pk}/change/", typed)
    assert answer.status_code == 303
    assert "price 1800.00 → 1950" in page_of(client, f"/bookings/{booking.pk}/")
