"""An invoice is kept as it was; a wrong one is reversed and never changed."""

from __future__ import annotations

import json
from datetime import timedelta
from decimal import Decimal

import pytest
from django.db.models import Q
from django.utils import timezone
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from jobs.bookings.actions import cancel_booking
from jobs.invoices.account_actions import pay_account, reverse_receipt
from jobs.invoices.actions import make_invoice, print_receipt, reverse_invoice
from jobs.invoices.queries import entries_of, open_invoices, open_sum_of
from jobs.models import (
    Customer,
    CustomerLink,
    Invoice,
    Paper,
    Payment,
    Receipt,
    TaxRule,
)
from jobs.money.actions import record_deposit, record_payment, reverse_payment
from jobs.money.discount_actions import give_discount
from jobs.papers.html_facts import attachments, paper_html
from jobs.public.link_queries import hash_of
from jobs.public.queries import papers_of
from shopapp.frame import Refused, perform
from shopapp.models import Shop, StoredFile
from tests.makers import (
    make_booking,
    make_customer,
    make_person,
    make_tap,
    make_vehicle,
    make_workorder,
)
from tests.rivals import at_once, refusals

pytestmark = pytest.mark.django_db
CENT = Decimal("0.01")


@pytest.fixture
def by():
    return make_person("desk", username="desk-1")


def do(by, action, **facts):
    return perform(make_tap(by), action, **facts)


def order_of(customer: Customer, price="1800", **fields):
    """One more car of this customer, in the shop."""
    number = Customer.objects.get(pk=customer.pk).vehicles.count()
    car = make_vehicle(customer, plate=f"TST {customer.pk}-{number}", vin="")
    booked = make_booking(
        vehicle=car, price=Decimal(price), order_number=f"HC-{number}"
    )
    return make_workorder(booking=booked, **fields)


def invoiced(by, order) -> Invoice:
    return Invoice.objects.get(pk=do(by, make_invoice, workorder_pk=order.pk)["pk"])


def kept_deposit(by, customer, amount) -> Decimal:
    """A booking that was cancelled, its deposit kept."""
    plate = f"GONE {customer.pk}"
    booking = make_booking(vehicle=make_vehicle(customer, plate=plate, vin=""))
    of_it = {"booking_pk": booking.pk}
    do(by, record_deposit, **of_it, amount=amount, how="cash")
    do(by, cancel_booking, **of_it, deposit="kept")
    return amount


def test_an_invoice_stays_what_it_was(by):
    TaxRule.objects.update(pct=Decimal(19), number="T-77", foot="Registered in Anytown")
    order = order_of(make_customer("Dealer One", address="1 Example Road"))
    order.tax_pct = Decimal(19)
    order.save()
    do(by, record_payment, workorder_pk=order.pk, amount=Decimal(300), how="cash")
    row = invoiced(by, order)
    assert row.number == "I-31-0001"
    assert (row.total, row.tax, row.paid, row.due) == (
        *(Decimal(1800), Decimal("287.39")),
        *(Decimal(300), Decimal(1500)),
    )
    Customer.objects.update(name="Somebody Else", address="")
    Shop.objects.update(address="9 New Street")
    TaxRule.objects.update(pct=0, number="")
    Paper.objects.update(file=None)
    paper = Paper.objects.get(kind="invoice")
    page = paper_html(paper)
    for word in ("Dealer One", "1 Example Road", "T-77", "287.39", "1,500.00", "HC-0"):
        assert word in page
    assert "9 New Street" not in page
    facts = json.loads(attachments(paper)[0]["data"])
    assert facts["total"] == "1800.00"
    with pytest.raises(RuntimeError, match="never changed"):
        row.save()
    with pytest.raises(RuntimeError, match="never deleted"):
        row.delete()


def test_another_size_says_the_same_word_for_word(client, by):
    client.force_login(by)
    row = invoiced(by, order_of(make_customer()))
    Shop.objects.update(name="Another name")
    for key, size in (("a" * 16, "A4"), ("b" * 16, "Letter"), ("c" * 16, "A4")):
        answer = client.post(f"/invoices/{row.pk}/print/", {"key": key, "size": size})
        assert answer.status_code == 303
    papers = Paper.objects.filter(kind="invoice").order_by("pk")
    assert sorted(paper.size for paper in papers) == ["A4", "Letter"]
    assert papers[0].facts == papers[1].facts


def test_one_invoice_stands_at_a_time_and_a_credit_note_takes_it_back(by):
    order = order_of(make_customer())
    first = invoiced(by, order)
    with pytest.raises(Refused, match="I-31-0001"):
        invoiced(by, order)
    do(by, reverse_invoice, workorder_pk=order.pk, because="wrong name")
    note = Invoice.objects.get(reverses=first)
    assert (note.number, note.total) == ("C-31-0001", -first.total)
    assert open_sum_of(order.customer) == 0
    assert invoiced(by, order).number == "I-31-0002"
    with pytest.raises(Refused, match="Say why"):
        do(by, reverse_invoice, workorder_pk=order.pk, because=" ")


def test_without_a_price_there_is_nothing_to_invoice(by):
    order = make_workorder()
    order.price = None
    order.save()
    with pytest.raises(Refused, match="No price is agreed"):
        invoiced(by, order)


def test_who_pays_no_tax_reads_why(by):
    order = order_of(make_customer(is_untaxed=True, untaxed_because="certificate 44-1"))
    invoiced(by, order)
    assert "certificate 44-1" in paper_html(Paper.objects.get(kind="invoice"))


# one payment for several


def test_one_payment_pays_several_invoices_on_one_receipt(by):
    dealer = make_customer("Dealer One", is_account=True)
    orders = [order_of(dealer, price) for price in ("1000", "500", "250")]
    invoices = [invoiced(by, order) for order in orders]
    pay = {"customer_pk": dealer.pk, "how": "transfer"}
    do(by, pay_account, amount=Decimal(1200), invoices=[], **pay)
    assert [(each.invoice.pk, each.owed) for each in open_invoices(dealer)] == [
        (invoices[1].pk, Decimal(300)),
        (invoices[2].pk, Decimal(250)),
    ]
    receipt = Receipt.objects.get()
    assert [row.amount for row in receipt.payments.all()] == [1000, 200]
    with pytest.raises(Refused, match=r"Only 550.00 is owed; 9,999.00 is 9,449.00"):
        do(by, pay_account, amount=Decimal(9999), invoices=[], **pay)
    do(by, pay_account, amount=Decimal(250), invoices=[invoices[2].pk], **pay)
    assert open_sum_of(dealer) == 300
    with pytest.raises(Refused, match="several orders"):
        do(
            by,
            reverse_payment,
            workorder_pk=orders[0].pk,
            payment_pk=receipt.payments.first().pk,
            because="bounced",
        )
    known = {"customer_pk": dealer.pk, "receipt_pk": receipt.pk}
    do(by, reverse_receipt, because="bounced", **known)
    assert open_sum_of(dealer) == 1500
    with pytest.raises(Refused, match="already"):
        do(by, reverse_receipt, because="bounced", **known)


def test_an_account_that_owes_nothing_takes_no_payment(by):
    dealer = make_customer("Dealer One", is_account=True)
    with pytest.raises(Refused, match="No invoice is open"):
        do(
            by,
            pay_account,
            customer_pk=dealer.pk,
            amount=Decimal(5),
            how="cash",
            invoices=[],
        )


STEP_NAMES = ["pay", "back", "invoice", "credit", "account", "undo", "discount"]
STEPS = st.lists(
    st.tuples(
        st.sampled_from(STEP_NAMES),
        st.integers(0, 2),
        st.integers(1, 90_000).map(lambda n: Decimal(n) / 100),
    ),
    min_size=3,
    max_size=10,
)


@settings(
    max_examples=8,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(steps=STEPS, is_untaxed=st.booleans())
def test_an_account_is_its_invoices_less_its_receipts_to_the_cent(steps, is_untaxed):
    by = make_person("desk", username=f"desk-{Payment.objects.count()}-{id(steps)}")
    because = "certificate 44-1" if is_untaxed else ""
    dealer = make_customer(
        "Dealer One", is_account=True, is_untaxed=is_untaxed, untaxed_because=because
    )
    kept = kept_deposit(by, dealer, Decimal("70.07"))
    orders = [order_of(dealer, price) for price in ("1000.01", "500.50", "249.99")]
    for step, which, amount in steps:
        order, of_order = orders[which], {"workorder_pk": orders[which].pk}
        account = {"customer_pk": dealer.pk, "how": "transfer", "invoices": []}
        paid = order.payments.filter(reverses=None, reversed_by=None).last()
        presses = {
            "pay": (
                record_payment,
                {**of_order, "amount": amount, "how": "cash", "over": True},
            ),
            "back": (
                reverse_payment,
                {**of_order, "payment_pk": paid.pk if paid else 0, "because": "slip"},
            ),
            "discount": (
                give_discount,
                {**of_order, "amount": amount, "because": "a regular"},
            ),
            "invoice": (make_invoice, of_order),
            "credit": (reverse_invoice, {**of_order, "because": "wrong"}),
            "account": (pay_account, {**account, "amount": amount, "over": True}),
            "undo": (
                reverse_receipt,
                {
                    "customer_pk": dealer.pk,
                    "receipt_pk": paid.receipt_id if paid else 0,
                    "because": "bounced",
                },
            ),
        }
        action, facts = presses[step]
        try:
            do(by, action, **facts)
        except Refused:
            continue
    mine = Invoice.objects.filter(workorder__customer=dealer)
    receipts = Receipt.objects.filter(
        Q(payments__workorder__customer=dealer) | Q(payments__booking__customer=dealer)
    ).distinct()
    of_receipts = [
        sum(row.amount for row in receipt.payments.all()) for receipt in receipts
    ]
    entries = entries_of(dealer)
    asked = sum(row.total for row in mine) + kept
    assert sum(each.asked for each in entries) == asked
    for row in mine:
        assert sum(line.amount for line in row.lines.all()) == row.total
    assert sum(each.paid for each in entries) == sum(of_receipts)
    assert open_sum_of(dealer) == asked - sum(of_receipts)
    for model in (Invoice, Receipt):
        tails = [row.number for row in model.objects.all() if row.number[0] != "C"]
        assert sorted(int(number[-4:]) for number in tails) == [
            *range(1, len(tails) + 1)
        ]


# two desks at once


@pytest.mark.postgres
@pytest.mark.django_db(transaction=True)
def test_numbers_of_two_desks_never_repeat_and_none_is_missing():
    by = make_person("desk", username="desk-1")
    dealer = make_customer("Dealer One", is_account=True)
    orders = [order_of(dealer) for _ in range(4)]
    presses = [
        lambda order=order: do(by, make_invoice, workorder_pk=order.pk)
        for order in orders
    ]
    # One order is pressed at both desks: one of them reads that it is invoiced.
    both = lambda: do(by, make_invoice, workorder_pk=orders[0].pk)  # noqa: E731
    answers = at_once(*presses, both)
    assert len(refusals(answers)) == 1
    numbers = sorted(Invoice.objects.values_list("number", flat=True))
    assert numbers == [f"I-31-{n:04d}" for n in range(1, 5)]


# what the customer may read


def issued(paper_pk: int) -> Paper:
    file = StoredFile.objects.create(
        sha256=f"{paper_pk:064d}", content_type="application/pdf", size=1
    )
    Paper.objects.filter(pk=paper_pk).update(state="issued", file=file, pages=1)
    return Paper.objects.get(pk=paper_pk)


def test_a_link_shows_the_customers_own_invoice_and_receipts_alone(client, by):
    mine, other = order_of(make_customer("One")), order_of(make_customer("Two"))
    papers = {}
    for order in (mine, other):
        invoiced(by, order)
        do(by, record_payment, workorder_pk=order.pk, amount=Decimal(5), how="cash")
        receipt = order.payments.get().receipt_id
        asked = do(by, print_receipt, receipt_pk=receipt)
        invoice = Paper.objects.filter(kind="invoice").order_by("pk").last()
        papers[order.pk] = {issued(asked["pk"]).pk, issued(invoice.pk).pk}
    assert {paper.pk for paper in papers_of(mine)} == papers[mine.pk]
    assert {paper.pk for paper in papers_of(other)} == papers[other.pk]
    CustomerLink.objects.create(
        workorder=mine,
        token_hash=hash_of("a-token-of-hers"),
        expires_at=timezone.now() + timedelta(days=1),
    )
    page = client.get("/c/a-token-of-hers/").content.decode()
    assert "Invoice I-31-0001" in page
    assert "I-31-0002" not in page
    for pk in papers[other.pk]:
        assert client.get(f"/c/a-token-of-hers/papers/{pk}/").status_code == 404


def test_an_installer_reads_no_paper_of_money(client, by):
    row = invoiced(by, order_of(make_customer()))
    client.force_login(make_person("installer", username="ines"))
    paper = Paper.objects.get(kind="invoice")
    assert client.get(f"/papers/{paper.pk}/").status_code == 404
    assert client.get(f"/invoices/{row.pk}/").status_code == 403


def test_a_deposit_has_its_receipt_before_the_car_comes(client, by):
    client.force_login(by)
    booking = make_booking()
    pay = {"booking_pk": booking.pk, "amount": Decimal(300), "how": "cash"}
    do(by, record_deposit, **pay)
    receipt = Receipt.objects.get()
    url = f"/customers/{booking.customer_id}/account/receipts/{receipt.pk}/print/"
    assert client.post(url, {"key": "p" * 16}).status_code == 303
    assert "deposit" in paper_html(Paper.objects.get(kind="receipt"))
    other = make_customer("Two")
    url = f"/customers/{other.pk}/account/receipts/{receipt.pk}/print/"
    assert client.post(url, {"key": "q" * 16}).status_code == 404


def test_the_account_page_prints_a_statement_that_ends_at_the_open_sum(client, by):
    client.force_login(by)
    dealer = make_customer("Dealer One", is_account=True)
    for order in [order_of(dealer, "1000"), order_of(dealer, "500")]:
        invoiced(by, order)
    page = client.get(f"/customers/{dealer.pk}/account/").content.decode()
    assert "1,500.00" in page
    typed = {"key": "s" * 16, "since": "2031-05-01", "until": "2031-05-31"}
    client.post(f"/customers/{dealer.pk}/account/statement/", typed)
    paper = Paper.objects.get(kind="statement")
    assert paper.facts["closing"] == str(open_sum_of(dealer)) == "1500.00"
    assert "HC-0" in paper_html(paper)
    wrong = client.post(
        f"/customers/{dealer.pk}/account/statement/",
        {"key": "w" * 16, "since": "2031-05-31", "until": "2031-05-01"},
    )
    assert "The last day is before the first." in wrong.content.decode()
