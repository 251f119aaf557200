"""Facts of money's papers: invoice, credit note, receipt, account statement."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from django.utils.translation import gettext

from jobs.invoices.queries import entries_of
from jobs.invoices.statement import statement
from jobs.models import Booking, Customer, Invoice, Payment, Receipt, WorkOrder
from jobs.money.queries import tax_rule
from jobs.papers.facts import Json, ShopFacts, shop_facts, to_json
from shopapp.models import shop_date, the_shop


@dataclass(frozen=True, kw_only=True)
class SellerFacts:
    """What the law asks of whoever asks for money."""

    phone: str
    email: str
    tax_name: str
    tax_number: str
    foot: str


@dataclass(frozen=True, kw_only=True)
class InvoiceLineFacts:
    """One line; an amount as text, so that no cent is lost."""

    kind: str
    name: str
    amount: str


@dataclass(frozen=True, kw_only=True)
class InvoiceFacts:
    """Everything on an invoice or a credit note."""

    shop: ShopFacts
    seller: SellerFacts
    language: str
    number: str
    is_credit_note: bool
    reverses: str
    because: str
    issued_on: date
    due_on: date
    customer: str
    address: str
    order: str
    order_number: str
    vehicle: str
    lines: tuple[InvoiceLineFacts, ...]
    tax_name: str
    tax_rate: str
    is_tax_on_top: bool
    untaxed_because: str
    net: str
    tax: str
    total: str
    paid: str
    due: str


@dataclass(frozen=True, kw_only=True)
class ReceiptPartFacts:
    """What of a payment is for one order."""

    order: str
    vehicle: str
    invoice: str
    amount: str


@dataclass(frozen=True, kw_only=True)
class ReceiptFacts:
    """Everything on a receipt."""

    shop: ShopFacts
    seller: SellerFacts
    language: str
    number: str
    received_at: datetime
    customer: str
    address: str
    how: str
    is_back: bool
    reverses: str
    because: str
    parts: tuple[ReceiptPartFacts, ...]
    total: str


@dataclass(frozen=True, kw_only=True)
class StatementLineFacts:
    """One entry of an account, and what is open after it."""

    entry_on: date
    number: str
    what: str
    about: str
    asked: str
    paid: str
    is_open: str


@dataclass(frozen=True, kw_only=True)
class StatementFacts:
    """Everything on an account statement."""

    shop: ShopFacts
    seller: SellerFacts
    language: str
    customer: str
    address: str
    since_on: date
    until_on: date
    opening: str
    lines: tuple[StatementLineFacts, ...]
    asked: str
    paid: str
    closing: str


def invoice_facts(subject: str) -> Json:
    """An invoice as it is kept; subject "invoice 12"."""
    row = Invoice.objects.select_related("workorder", "reverses").get(pk=_pk(subject))
    return to_json(
        InvoiceFacts(
            shop=shop_facts(),
            seller=seller_facts(),
            language=row.workorder.customer.language,
            number=row.number,
            is_credit_note=row.kind == Invoice.Kind.CREDIT_NOTE,
            reverses=row.reverses.number if row.reverses else "",
            because=row.because,
            issued_on=shop_date(row.at),
            due_on=row.due_on,
            customer=row.customer_name,
            address=row.customer_address,
            order=row.workorder.number,
            order_number=row.order_number,
            vehicle=row.vehicle,
            lines=tuple(
                InvoiceLineFacts(
                    kind=line.kind, name=line.name, amount=str(line.amount)
                )
                for line in row.lines.all()
            ),
            tax_name=row.tax_name,
            tax_rate=f"{row.tax_pct.normalize():f}",
            is_tax_on_top=row.is_tax_on_top,
            untaxed_because=row.untaxed_because,
            net=str(row.total - row.tax),
            tax=str(row.tax),
            total=str(row.total),
            paid=str(row.paid),
            due=str(row.due),
        )
    )


def receipt_facts(subject: str) -> Json:
    """What came in at one time; subject "receipt 12"."""
    receipt = Receipt.objects.get(pk=_pk(subject))
    rows = list(
        receipt.payments.select_related(
            "workorder__customer",
            "workorder__vehicle",
            "booking__customer",
            "booking__vehicle",
            "reverses__receipt",
        )
    )
    first, of = rows[0], _paid_for(rows[0])
    reversed_one = first.reverses.receipt if first.reverses else None
    return to_json(
        ReceiptFacts(
            shop=shop_facts(),
            seller=seller_facts(),
            language=of.customer.language,
            number=receipt.number,
            received_at=receipt.at,
            customer=of.customer.name,
            address=of.customer.address,
            how=gettext(str(first.get_how_display())),
            is_back=first.reverses_id is not None,
            reverses=reversed_one.number if reversed_one else "",
            because=first.because,
            parts=tuple(
                ReceiptPartFacts(
                    order=row.workorder.number if row.workorder else "",
                    vehicle=(row.workorder or of).vehicle.whole_name,
                    invoice=_invoice_at(row.workorder_id, at=receipt.at),
                    amount=str(row.amount),
                )
                for row in rows
            ),
            total=str(sum((row.amount for row in rows), Decimal(0))),
        )
    )


def statement_facts(subject: str) -> Json:
    """An account over some days; subject "statement 7 2031-05-01 2031-05-31"."""
    _word, pk, since, until = subject.split()
    customer = Customer.objects.get(pk=int(pk))
    first, last = date.fromisoformat(since), date.fromisoformat(until)
    told = statement(entries_of(customer), since=first, until=last)
    return to_json(
        StatementFacts(
            shop=shop_facts(),
            seller=seller_facts(),
            language=customer.language,
            customer=customer.name,
            address=customer.address,
            since_on=first,
            until_on=last,
            opening=str(told.opening),
            lines=tuple(
                StatementLineFacts(
                    entry_on=line.entry.on,
                    number=line.entry.number,
                    what=line.entry.what,
                    about=line.entry.about,
                    asked=str(line.entry.asked) if line.entry.asked else "",
                    paid=str(line.entry.paid) if line.entry.paid else "",
                    is_open=str(line.is_open),
                )
                for line in told.lines
            ),
            asked=str(told.asked),
            paid=str(told.paid),
            closing=str(told.closing),
        )
    )


def payer_of(subject: str) -> Customer:
    """Who reads the paper of an invoice, a receipt or a statement."""
    word, pk, *_days = subject.split()
    if word == "invoice":
        return Invoice.objects.get(pk=int(pk)).workorder.customer
    if word == "receipt":
        return _paid_for(Receipt.objects.get(pk=int(pk)).payments.all()[0]).customer
    return Customer.objects.get(pk=int(pk))


def _paid_for(payment: Payment) -> WorkOrder | Booking:
    of = payment.workorder or payment.booking
    assert of is not None, "a payment is for something"
    return of


def money_number(subject: str) -> str:
    """The number on the paper of an invoice, a receipt or a statement."""
    word, pk, *days = subject.split()
    if word == "invoice":
        return Invoice.objects.get(pk=int(pk)).number
    if word == "receipt":
        return Receipt.objects.get(pk=int(pk)).number
    return "-".join(["S", pk, *(day.replace("-", "")[2:] for day in days)])


def _invoice_at(order_pk: int | None, *, at: datetime) -> str:
    """The invoice that stood when the money came."""
    rows = Invoice.objects.filter(workorder=order_pk, kind=Invoice.Kind.INVOICE)
    standing = rows.filter(at__lte=at).exclude(reversed_by__at__lte=at)
    return standing.values_list("number", flat=True).first() or ""


def seller_facts() -> SellerFacts:
    """The shop as whoever asks for money."""
    shop, rule = the_shop(), tax_rule()
    return SellerFacts(
        phone=shop.phone,
        email=shop.email,
        tax_name=rule.name,
        tax_number=rule.number,
        foot=rule.foot,
    )


def _pk(subject: str) -> int:
    return int(subject.split()[1])
