"""What stands on the account, on an invoice and on a link once money has come."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.utils import timezone

from jobs.bookings.actions import restore_booking
from jobs.invoices.actions import print_invoice, print_receipt, print_statement
from jobs.invoices.queries import entries_of, open_sum_of
from jobs.models import CustomerLink, Paper, Receipt
from jobs.money.actions import record_deposit, record_payment, reverse_deposit
from jobs.money.discount_actions import give_discount
from jobs.papers.html_facts import paper_html
from jobs.public.link_queries import hash_of
from jobs.public.queries import papers_of
from shopapp.frame import perform
from tests.jobs.invoices.test_invoices import (
    do,
    invoiced,
    issued,
    kept_deposit,
    order_of,
)
from tests.makers import NOW, make_booking, make_customer, make_person, make_tap

pytestmark = pytest.mark.django_db


@pytest.fixture
def by():
    return make_person("desk", username="desk-1")


def test_a_kept_deposit_is_the_shops_and_no_credit(by):
    customer = make_customer("One")
    kept_deposit(by, customer, Decimal(200))
    assert open_sum_of(customer) == 0
    kept = next(each for each in entries_of(customer) if each.asked)
    assert (kept.what, kept.asked) == ("deposit kept, booking cancelled", 200)
    booking = customer.bookings.get()
    payment = booking.payments.get()
    back = {"payment_pk": payment.pk, "because": "given back after all"}
    do(by, reverse_deposit, booking_pk=booking.pk, **back)
    assert open_sum_of(customer) == 0
    assert "deposit kept" not in str(entries_of(customer))


def test_a_booking_that_is_restored_has_its_deposit_on_the_account(by):
    customer = make_customer("One")
    kept_deposit(by, customer, Decimal(200))
    do(by, restore_booking, booking_pk=customer.bookings.get().pk)
    assert open_sum_of(customer) == -200


def test_the_invoices_page_says_what_was_paid_since(client, by):
    client.force_login(by)
    order = order_of(make_customer("One"), "1800")
    row = invoiced(by, order)
    page = client.get(f"/invoices/{row.pk}/").content.decode()
    assert "Nothing has come in since." in page
    later = {"at": NOW + timedelta(days=1)}
    pay = {"workorder_pk": order.pk, "amount": Decimal(500), "how": "cash"}
    perform(make_tap(by, **later), record_payment, **pay)
    page = client.get(f"/invoices/{row.pk}/").content.decode()
    assert order.payments.get().receipt.number in page
    assert "1,300.00" in page


def test_a_bookings_link_lists_its_receipts_and_the_deposit_that_came(client, by):
    booking = make_booking(deposit=Decimal(300))
    CustomerLink.objects.create(
        booking=booking,
        token_hash=hash_of("a-token-of-hers"),
        expires_at=timezone.now() + timedelta(days=1),
    )
    page = client.get("/c/a-token-of-hers/").content.decode()
    assert "Still to come" in page
    do(by, record_deposit, booking_pk=booking.pk, amount=Decimal(300), how="cash")
    receipt = Receipt.objects.get()
    paper = issued(do(by, print_receipt, receipt_pk=receipt.pk)["pk"])
    page = client.get("/c/a-token-of-hers/").content.decode()
    assert receipt.number in page
    assert "It has come." in page
    url = f"/c/a-token-of-hers/papers/{paper.pk}/"
    assert url in page
    assert [each.pk for each in papers_of(booking)] == [paper.pk]
    other = make_booking()
    do(by, record_deposit, booking_pk=other.pk, amount=Decimal(5), how="cash")
    hers = issued(
        do(by, print_receipt, receipt_pk=other.payments.get().receipt_id)["pk"]
    )
    assert client.get(f"/c/a-token-of-hers/papers/{hers.pk}/").status_code == 404


def test_money_is_told_in_the_customers_language_and_stays_so(by):
    customer = make_customer("Uno", language="es")
    order = order_of(customer, "1800")
    do(by, give_discount, workorder_pk=order.pk, pct=Decimal(5), because="cliente fiel")
    row = invoiced(by, order)
    invoice = paper_html(Paper.objects.get(kind="invoice"))
    for words in ("Factura", "Frente completo", "Descuento 5 %", "Pagar antes del"):
        assert words in invoice
    do(by, record_payment, workorder_pk=order.pk, amount=Decimal(5), how="cash")
    do(by, print_receipt, receipt_pk=order.payments.get().receipt_id)
    receipt = paper_html(Paper.objects.get(kind="receipt"))
    assert "Forma de pago: efectivo." in receipt
    days = {"since": date(2031, 5, 1), "until": date(2031, 5, 31)}
    do(by, print_statement, customer_pk=customer.pk, **days)
    told = paper_html(Paper.objects.get(kind="statement"))
    for words in ("Estado de cuenta", "Factura", "Pagado, efectivo", "Pendiente"):
        assert words in told
    customer.language = "en"
    customer.save()
    again = do(by, print_invoice, invoice_pk=row.pk, size="A4")
    assert "Factura" in paper_html(Paper.objects.get(pk=again["pk"]))
