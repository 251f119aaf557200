"""What stands invoiced, and what a customer owes: the one home of the open sum."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from zoneinfo import ZoneInfo

from django.db.models import Q, QuerySet
from django.utils import timezone
from django.utils.translation import gettext

from jobs.invoices.statement import Entry, open_sum
from jobs.models import Booking, Customer, Invoice, Payment, WorkOrder
from jobs.money.lines import NOTHING
from jobs.money.queries import paid_for
from shopapp.frame import Refused
from shopapp.models import the_shop
from shopapp.say import say


def standing_invoice(order: WorkOrder) -> Invoice | None:
    """The order's invoice that was not reversed."""
    return Invoice.objects.filter(
        workorder=order, kind=Invoice.Kind.INVOICE, reversed_by__isnull=True
    ).first()


def refuse_invoiced(order: WorkOrder) -> None:
    """Refuse to change the price of an order that is invoiced."""
    if invoice := standing_invoice(order):
        raise Refused(
            say(
                "Invoice {number} says what it costs. Reverse it by a credit note "
                "first.",
                number=invoice.number,
            )
        )


@dataclass(frozen=True, kw_only=True)
class OpenInvoice:
    """An invoice that stands, and what is still owed for its order."""

    invoice: Invoice
    owed: Decimal


def open_invoices(customer: Customer) -> list[OpenInvoice]:
    """Invoices that are not paid, oldest first."""
    rows = (
        Invoice.objects.filter(
            workorder__customer=customer,
            kind=Invoice.Kind.INVOICE,
            reversed_by__isnull=True,
        )
        .select_related("workorder")
        .prefetch_related("workorder__payments")
        .order_by("pk")
    )
    found = [
        OpenInvoice(invoice=row, owed=row.total - paid_for(row.workorder))
        for row in rows
    ]
    return [each for each in found if each.owed > 0]


def to_invoice(customer: Customer) -> list[WorkOrder]:
    """Orders with a price, handed over and not invoiced."""
    standing = Invoice.objects.filter(
        kind=Invoice.Kind.INVOICE, reversed_by__isnull=True
    )
    return list(
        WorkOrder.objects.filter(
            customer=customer, price__gt=0, handed_over_at__isnull=False
        )
        .exclude(pk__in=standing.values("workorder"))
        .select_related("vehicle", "booking")
        .order_by("pk")
    )


def payments_of(customer: Customer) -> QuerySet[Payment]:
    """Everything that came in from a customer, or went back."""
    mine = Q(workorder__customer=customer) | Q(
        workorder__isnull=True, booking__customer=customer
    )
    return Payment.objects.filter(mine)


def entries_of(customer: Customer) -> list[Entry]:
    """The whole account: invoices, credit notes, receipts, deposits that were kept."""
    invoices = Invoice.objects.filter(workorder__customer=customer)
    payments = payments_of(customer).select_related("receipt", "workorder", "booking")
    by_receipt: dict[int, list[Payment]] = {}
    for payment in payments.order_by("pk"):
        by_receipt.setdefault(payment.receipt_id or 0, []).append(payment)
    zone = the_shop().zone
    entries = [
        Entry(
            at=row.at,
            on=timezone.localtime(row.at, zone).date(),
            number=row.number,
            what=gettext(str(row.get_kind_display())),
            about=" · ".join(part for part in (row.vehicle, row.order_number) if part),
            asked=row.total,
        )
        for row in invoices
    ]
    for group in by_receipt.values():
        entries.append(_of_receipt(group, zone=zone))
    return [*entries, *_kept_deposits(customer, zone=zone)]


def _kept_deposits(customer: Customer, *, zone: ZoneInfo) -> list[Entry]:
    """What was paid for a cancelled booking and not given back is the shop's.

    Without it the money would stand on the account as paid ahead for ever.
    """
    rows = Booking.objects.filter(
        customer=customer, state=Booking.State.CANCELLED, payments__isnull=False
    ).distinct()
    found = []
    for booking in rows.select_related("vehicle").prefetch_related("payments__receipt"):
        kept = paid_for(booking)
        last = max(booking.payments.all(), key=lambda payment: payment.pk)
        gone = booking.events.filter(what="booking_cancelled").order_by("-pk").first()
        at = max(last.at, gone.done_at) if gone else last.at
        if kept > 0:
            found.append(
                Entry(
                    at=at,
                    on=timezone.localtime(at, zone).date(),
                    number=last.receipt.number if last.receipt else "",
                    what=gettext("deposit kept, booking cancelled"),
                    about=booking.vehicle.whole_name,
                    asked=kept,
                )
            )
    return found


def _of_receipt(payments: list[Payment], *, zone: ZoneInfo) -> Entry:
    first, receipt = payments[0], payments[0].receipt
    assert receipt is not None
    orders = [row.workorder.number for row in payments if row.workorder]
    what = gettext("taken back") if first.reverses_id else gettext("paid")
    return Entry(
        at=receipt.at,
        on=timezone.localtime(receipt.at, zone).date(),
        number=receipt.number,
        what=f"{what}, {gettext(str(first.get_how_display()))}",
        about=", ".join(orders) or gettext("deposit"),
        paid=sum((row.amount for row in payments), NOTHING),
    )


def open_sum_of(customer: Customer) -> Decimal:
    """What a customer owes by invoices and receipts; below nothing: paid ahead."""
    return open_sum(entries_of(customer))


def papers_about(row: WorkOrder | Booking) -> list[str]:
    """The subjects of money's papers about an order or a booking."""
    receipts = row.payments.values_list("receipt_id", flat=True)
    found = [receipt_subject(pk) for pk in receipts if pk]
    if isinstance(row, WorkOrder):
        pks = Invoice.objects.filter(workorder=row).values_list("pk", flat=True)
        found += [invoice_subject(pk) for pk in pks]
    return found


def invoice_subject(pk: int) -> str:
    """What the paper of an invoice is kept under."""
    return f"invoice {pk}"


def receipt_subject(pk: int) -> str:
    """What the paper of a receipt is kept under."""
    return f"receipt {pk}"
