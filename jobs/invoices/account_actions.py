"""A customer's account: one payment for several invoices, and its taking back."""

from __future__ import annotations

from decimal import Decimal

from jobs.invoices.queries import OpenInvoice, open_invoices
from jobs.models import Customer, Receipt, WorkOrder
from jobs.money.actions import (
    check_payment,
    keep_payment,
    new_receipt,
    reverse_one,
    tell_reversed,
)
from shopapp.frame import Act, Json, Refused, action
from shopapp.say import say


@action("account.pay")
def pay_account(
    act: Act,
    *,
    customer_pk: int,
    amount: Decimal,
    how: str,
    invoices: list[int],
    over: bool = False,
) -> Json:
    """Keep one payment for several invoices: the oldest is paid first.

    invoices  keys of those it is for; none: for all that are open
    over      more than what is owed was really received: the last one has the rest
    """
    customer = act.lock(Customer, customer_pk)
    wanted = _chosen(customer, invoices)
    orders = act.lock_all(WorkOrder, [each.invoice.workorder_id for each in wanted])
    # Again, under the locks: somebody may have paid one meanwhile.
    wanted = _chosen(customer, invoices)
    owed = sum((each.owed for each in wanted), Decimal(0))
    check_payment(amount, how, balance=owed, over=over)
    by_pk = {order.pk: order for order in orders}
    receipt, left = new_receipt(act), amount
    for each in wanted:
        is_last = each is wanted[-1]
        part = left if is_last else min(left, each.owed)
        order = by_pk.pop(each.invoice.workorder_id)
        if part <= 0:
            act.unchanged(order)
            continue
        keep_payment(act, order, amount=part, how=how, receipt=receipt)
        left -= part
    for order in by_pk.values():
        act.unchanged(order)
    return {"pk": receipt.pk}


@action("receipt.reverse")
def reverse_receipt(
    act: Act, *, customer_pk: int, receipt_pk: int, because: str
) -> Json:
    """Take back all that a receipt is for, under one receipt of its own."""
    act.lock(Customer, customer_pk)
    receipt = Receipt.objects.filter(pk=receipt_pk).first()
    payments = list(receipt.payments.select_related("booking")) if receipt else []
    if any(row.workorder_id is None for row in payments):
        raise Refused(say("This is a deposit: take it back on its booking."))
    orders = act.lock_all(WorkOrder, [row.workorder_id or 0 for row in payments])
    if not payments or any(order.customer_id != customer_pk for order in orders):
        raise Refused(say("This receipt is not there."))
    by_pk, back = {order.pk: order for order in orders}, new_receipt(act)
    for payment in receipt.payments.all() if receipt else ():
        entry = reverse_one(act, payment, because=because, receipt=back)
        tell_reversed(act, by_pk[payment.workorder_id or 0], entry)
    return {"pk": back.pk}


def _chosen(customer: Customer, invoices: list[int]) -> list[OpenInvoice]:
    found = open_invoices(customer)
    if not invoices:
        wanted = found
    else:
        wanted = [each for each in found if each.invoice.pk in invoices]
    if not wanted:
        raise Refused(say("No invoice is open that it could be for."), field="invoices")
    return wanted
