"""Invoices: made from an order as it stands, reversed by a credit note; papers."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal

from django.utils import timezone, translation

from jobs.invoices.queries import (
    invoice_subject,
    receipt_subject,
    refuse_invoiced,
    standing_invoice,
)
from jobs.models import Customer, Invoice, InvoiceLine, Paper, Receipt, WorkOrder
from jobs.money.line_queries import price_lines
from jobs.money.lines import NOTHING, PriceLines
from jobs.money.queries import paid_for, tax_rule
from jobs.papers.actions import ask_paper
from shopapp.frame import Act, Json, Refused, action
from shopapp.models import the_shop
from shopapp.numbering import numbered
from shopapp.say import say

SHEETS = ("A4", "Letter")
AS_IT_WAS = (
    *("customer_name", "customer_address", "order_number", "vehicle", "currency"),
    *("tax_name", "tax_pct", "is_tax_on_top", "untaxed_because"),
)
"""What a credit note says as its invoice did."""


@action("invoice.make")
def make_invoice(act: Act, *, workorder_pk: int) -> Json:
    """Freeze what an order costs under the next number, and ask for its paper."""
    order = act.lock(WorkOrder, workorder_pk)
    refuse_invoiced(order)
    # Frozen with the invoice: its paper is in the customer's language.
    with translation.override(order.customer.language):
        lines = price_lines(order)
    if lines is None:
        raise Refused(say("No price is agreed yet: there is nothing to invoice."))
    today = timezone.localtime(act.now, the_shop().zone).date()
    wait = tax_rule().account_days if order.on_account else 0
    invoice = _numbered(
        act,
        order,
        letter="I",
        kind=Invoice.Kind.INVOICE,
        total=lines.total,
        tax=lines.tax,
        paid=paid_for(order),
        due_on=today + timedelta(days=wait),
        **_as_it_is(order, lines),
    )
    _write_lines(invoice, [(line.kind, line.name, line.amount) for line in lines.lines])
    act.event(
        order, "invoiced", invoice=invoice, number=invoice.number, amount=lines.total
    )
    paper = ask_paper(
        act,
        kind=Paper.Kind.INVOICE,
        workorder=None,
        subject=invoice_subject(invoice.pk),
    )
    return {"pk": invoice.pk, "paper": paper.pk}


@action("invoice.reverse")
def reverse_invoice(act: Act, *, workorder_pk: int, because: str) -> Json:
    """Take the order's invoice back by a credit note with a number of its own."""
    order = act.lock(WorkOrder, workorder_pk)
    wrong = standing_invoice(order)
    if wrong is None:
        raise Refused(say("No invoice of this order stands: nothing is reversed."))
    if not because.strip():
        raise Refused(say("Say why it is reversed."), field="because")
    note = _numbered(
        act,
        order,
        letter="C",
        kind=Invoice.Kind.CREDIT_NOTE,
        reverses=wrong,
        because=because.strip(),
        total=-wrong.total,
        tax=-wrong.tax,
        paid=NOTHING,
        due_on=timezone.localtime(act.now, the_shop().zone).date(),
        **{name: getattr(wrong, name) for name in AS_IT_WAS},
    )
    _write_lines(
        note, [(line.kind, line.name, -line.amount) for line in wrong.lines.all()]
    )
    act.event(
        order,
        "invoice_reversed",
        invoice=wrong,
        number=wrong.number,
        by_number=note.number,
        because=note.because,
    )
    paper = ask_paper(
        act, kind=Paper.Kind.INVOICE, workorder=None, subject=invoice_subject(note.pk)
    )
    return {"pk": note.pk, "paper": paper.pk}


@action("invoice.print")
def print_invoice(act: Act, *, invoice_pk: int, size: str = "") -> Json:
    """Ask for the paper of an invoice or a credit note, in a size."""
    if not Invoice.objects.filter(pk=invoice_pk).exists():
        raise Refused(say("This invoice is not there."))
    return _paper(act, Paper.Kind.INVOICE, invoice_subject(invoice_pk), size=size)


@action("receipt.print")
def print_receipt(act: Act, *, receipt_pk: int, size: str = "") -> Json:
    """Ask for the receipt of what came in, or was taken back."""
    if not Receipt.objects.filter(pk=receipt_pk).exists():
        raise Refused(say("This receipt is not there."))
    return _paper(act, Paper.Kind.RECEIPT, receipt_subject(receipt_pk), size=size)


@action("statement.print")
def print_statement(
    act: Act, *, customer_pk: int, since: date, until: date, size: str = ""
) -> Json:
    """Ask for a customer's account from a day to a day, both included."""
    if not Customer.objects.filter(pk=customer_pk).exists():
        raise Refused(say("This customer is not there any more."))
    if until < since:
        raise Refused(say("The last day is before the first."), field="until")
    subject = f"statement {customer_pk} {since:%Y-%m-%d} {until:%Y-%m-%d}"
    return _paper(act, Paper.Kind.STATEMENT, subject, size=size)


def _paper(act: Act, kind: str, subject: str, *, size: str) -> Json:
    if size and size not in SHEETS:
        raise Refused(say("This paper is A4 or Letter."), field="size")
    paper = ask_paper(act, kind=kind, workorder=None, subject=subject, size=size)
    return {"pk": paper.pk}


def _numbered(act: Act, order: WorkOrder, *, letter: str, **fields: object) -> Invoice:
    return numbered(
        lambda number: Invoice.objects.create(
            number=number, workorder=order, by=act.tap.by, at=act.now, **fields
        ),
        model=Invoice,
        letter=letter,
        at=act.now,
    )


def _as_it_is(order: WorkOrder, lines: PriceLines) -> dict[str, object]:
    """The customer, the car and the tax on the day of the invoice."""
    customer = order.customer
    return {
        "customer_name": customer.name,
        "customer_address": customer.address,
        "order_number": order.booking.order_number if order.booking else "",
        "vehicle": order.vehicle.whole_name,
        "tax_name": tax_rule().name,
        "tax_pct": lines.tax_pct,
        "is_tax_on_top": lines.is_on_top,
        "untaxed_because": customer.untaxed_because if customer.is_untaxed else "",
        "currency": the_shop().currency,
    }


def _write_lines(invoice: Invoice, lines: list[tuple[str, str, Decimal]]) -> None:
    InvoiceLine.objects.bulk_create(
        InvoiceLine(invoice=invoice, kind=kind, name=name, amount=amount)
        for kind, name, amount in lines
    )
