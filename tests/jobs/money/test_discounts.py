"""A discount is a line with its reason; an untaxed customer pays no tax."""

from __future__ import annotations

from decimal import Decimal

import pytest

from jobs.models import Booking, Discount, TaxRule, WorkOrder
from jobs.money.line_queries import price_lines
from tests.makers import make_booking, make_customer, make_vehicle, make_workorder

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def desk_client(client, desk):
    client.force_login(desk)
    return client


def give(client, url, key="k" * 16, **typed):
    return client.post(
        f"{url}/discounts/give/", {"key": key, "because": "second car", **typed}
    )


def amounts(row):
    return [line.amount for line in price_lines(row).lines]


def test_per_cent_off_an_order_is_a_line_and_in_the_history(client):
    order = make_workorder()
    url = f"/workorders/{order.pk}"
    for _twice in (1, 2):
        assert give(client, url, pct="5").status_code == 303
    order.refresh_from_db()
    assert order.price == Decimal("1710.00")
    assert amounts(order) == [Decimal(1800), Decimal(-90)]
    assert Discount.objects.get().by.is_desk
    page = client.get(f"{url}/history/").content.decode()
    assert "Discount: 90.00 less. second car" in page
    assert "Discount 5 %, second car" in client.get(f"{url}/handover/").content.decode()


def test_it_is_taken_back_once_and_the_price_is_as_before(client):
    order = make_workorder()
    url = f"/workorders/{order.pk}"
    give(client, url, amount="100.10")
    back = f"{url}/discounts/{Discount.objects.get().pk}/take-back/"
    client.post(back, {"key": "a" * 16})
    again = client.post(back, {"key": "b" * 16})
    assert "taken back already" in again.content.decode()
    order.refresh_from_db()
    assert order.price == 1800
    assert amounts(order) == [Decimal(1800)]


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"amount": "1800.01"}, "No more than that can be taken off."),
        ({"pct": "5", "amount": "5"}, "one of both"),
        ({}, "one of both"),
        ({"pct": "5", "because": " "}, "Say why it costs less."),
        ({"pct": "101"}, "101"),
    ],
)
def test_what_cannot_be_meant_is_said_and_nothing_changes(client, typed, said):
    order = make_workorder()
    answer = give(client, f"/workorders/{order.pk}", **typed)
    assert answer.status_code == 422
    assert said in answer.content.decode()
    assert not Discount.objects.exists()


def test_what_was_given_on_a_booking_goes_along_with_the_car(client):
    booking = make_booking()
    assert give(client, f"/bookings/{booking.pk}", pct="10").status_code == 303
    booking.refresh_from_db()
    assert booking.price == 1620
    client.post(f"/arrivals/{booking.pk}/take-in/", {"key": "t" * 16})
    order = WorkOrder.objects.get()
    assert amounts(order) == [Decimal(1800), Decimal(-180)]
    late = give(client, f"/bookings/{booking.pk}", key="l" * 16, pct="10")
    assert "give it on its work order" in late.content.decode()


def test_after_an_invoice_no_discount_until_it_is_reversed(client):
    order = make_workorder()
    url = f"/workorders/{order.pk}"
    client.post(f"{url}/invoice/make/", {"key": "i" * 16})
    refused = give(client, url, pct="5")
    assert "Reverse it by a credit note first." in refused.content.decode()
    invoice = order.invoices.get()
    client.post(
        f"/invoices/{invoice.pk}/reverse/", {"key": "r" * 16, "because": "a discount"}
    )
    assert give(client, url, key="n" * 16, pct="5").status_code == 303


def test_tax_on_top_is_taken_anew_from_what_is_left(client):
    TaxRule.objects.update(pct=Decimal("8.25"), is_included=False)
    order = make_workorder(
        booking=make_booking(price=Decimal("1623.75")), tax_pct=Decimal("8.25")
    )
    give(client, f"/workorders/{order.pk}", amount="100")
    order.refresh_from_db()
    assert amounts(order) == [Decimal(1500), Decimal(-100), Decimal("115.50")]
    assert order.price == Decimal("1515.50")


# without tax


def untaxed_booking(**agreed) -> Booking:
    TaxRule.objects.update(pct=Decimal(19))
    customer = make_customer(is_untaxed=True, untaxed_because="certificate 44-1")
    return make_booking(vehicle=make_vehicle(customer), **agreed)


def test_an_untaxed_customer_pays_the_list_less_its_tax():
    booking = untaxed_booking(price=Decimal(119), is_list_price=True)
    assert (booking.price, booking.tax_pct) == (Decimal(100), 0)


def test_the_shop_may_keep_the_lists_price_for_them():
    TaxRule.objects.update(untaxed_pay_net=False)
    assert untaxed_booking(price=Decimal(119), is_list_price=True).price == 119


def test_a_price_that_was_typed_is_what_was_agreed():
    assert untaxed_booking(price=Decimal(119)).price == 119


def test_without_a_reason_nobody_is_untaxed(client):
    customer = make_customer()
    typed = {"key": "u" * 16, "name": customer.name, "is_untaxed": "on"}
    answer = client.post(f"/customers/{customer.pk}/change/", typed)
    assert "Say why no tax is paid" in answer.content.decode()
    customer.refresh_from_db()
    assert not customer.is_untaxed
