"""Money: payments, deposits, and entries that take them back."""

from __future__ import annotations

from decimal import Decimal

from jobs import limits
from jobs.models import Booking, Payment, Receipt, WorkOrder
from jobs.money.queries import balance_of
from shopapp.frame import Act, Refused, action, refuse_outside
from shopapp.numbering import numbered
from shopapp.say import say


@action("payment.record")
def record_payment(
    act: Act, *, workorder_pk: int, amount: Decimal, how: str, over: bool = False
) -> None:
    """Keep money that was received for an order.

    over  more than what is owed was really received
    """
    workorder = act.lock(WorkOrder, workorder_pk)
    check_payment(amount, how, balance=balance_of(workorder), over=over)
    keep_payment(act, workorder, amount=amount, how=how, receipt=new_receipt(act))


@action("payment.reverse")
def reverse_payment(
    act: Act, *, workorder_pk: int, payment_pk: int, because: str
) -> None:
    """Take a payment back by an entry of its own."""
    workorder = act.lock(WorkOrder, workorder_pk)
    payment = workorder.payments.filter(pk=payment_pk).first()
    _refuse_shared(payment)
    entry = reverse_one(act, payment, because=because, receipt=None)
    tell_reversed(act, workorder, entry)


@action("deposit.record")
def record_deposit(
    act: Act, *, booking_pk: int, amount: Decimal, how: str, over: bool = False
) -> None:
    """Keep money that was received before the car came."""
    booking = _expected(act, booking_pk)
    check_payment(amount, how, balance=balance_of(booking), over=over)
    payment = Payment.objects.create(
        booking=booking,
        receipt=new_receipt(act),
        amount=amount,
        how=how,
        by=act.tap.by,
        at=act.now,
    )
    act.event(booking, "deposit_paid", payment=payment, amount=amount, how=how)


@action("deposit.reverse")
def reverse_deposit(
    act: Act, *, booking_pk: int, payment_pk: int, because: str
) -> None:
    """Take a deposit back by an entry of its own: a slip, or given back."""
    booking = act.lock(Booking, booking_pk)
    if booking.state == Booking.State.ARRIVED:
        raise Refused(say("The car is here: take it back on its work order."))
    payment = booking.payments.filter(pk=payment_pk).first()
    entry = reverse_one(act, payment, because=because, receipt=None)
    tell_reversed(act, booking, entry)


def give_back(act: Act, booking: Booking, *, because: str) -> None:
    """Take every deposit of a booking back, one entry for each."""
    for payment in booking.payments.filter(reverses=None, reversed_by=None):
        reverse_one(act, payment, because=because, receipt=None)


def new_receipt(act: Act) -> Receipt:
    """The next receipt, for what comes in now or is taken back."""
    return numbered(
        lambda number: Receipt.objects.create(number=number, by=act.tap.by, at=act.now),
        model=Receipt,
        letter="R",
        at=act.now,
    )


def keep_payment(
    act: Act, workorder: WorkOrder, *, amount: Decimal, how: str, receipt: Receipt
) -> None:
    """Keep money for a locked order, and say so in its history."""
    payment = Payment.objects.create(
        workorder=workorder,
        receipt=receipt,
        amount=amount,
        how=how,
        by=act.tap.by,
        at=act.now,
    )
    act.event(workorder, "paid", payment=payment, amount=amount, how=how)


def tell_reversed(act: Act, row: WorkOrder | Booking, entry: Payment) -> None:
    """Say in a history that a payment was taken back."""
    act.event(
        row,
        "payment_reversed",
        payment=entry.reverses,
        amount=-entry.amount,
        because=entry.because,
    )


def _refuse_shared(payment: Payment | None) -> None:
    """A part of what was paid for several orders is not taken back by itself."""
    receipt = payment.receipt if payment else None
    if receipt and receipt.payments.count() > 1:
        raise Refused(
            say(
                "Receipt {number} is for several orders. Take it back on the "
                "customer's account.",
                number=receipt.number,
            )
        )


def _expected(act: Act, booking_pk: int) -> Booking:
    booking = act.lock(Booking, booking_pk)
    if booking.state == Booking.State.ARRIVED:
        raise Refused(say("The car is here: record it on its work order."))
    if booking.state == Booking.State.CANCELLED:
        raise Refused(say("This booking was cancelled. Take the cancelling back."))
    return booking


def check_payment(
    amount: Decimal, how: str, *, balance: Decimal | None, over: bool
) -> None:
    """Refuse what cannot be meant; ask about more than is owed."""
    if amount <= 0:
        raise Refused(say("A payment is more than nothing."), field="amount")
    refuse_outside(limits.PAID, {"amount": amount})
    if how not in Payment.How.values:
        raise Refused(say("Say how it was paid."), field="how")
    if balance is None or over or amount <= balance:
        return
    raise Refused(
        say(
            "Only {owed} is owed; {amount} is {over} too much. Was it really received?",
            owed=f"{max(balance, Decimal(0)):,.2f}",
            amount=f"{amount:,.2f}",
            over=f"{amount - max(balance, Decimal(0)):,.2f}",
        ),
        field="over",
    )


def reverse_one(
    act: Act, payment: Payment | None, *, because: str, receipt: Receipt | None
) -> Payment:
    """The entry that takes a payment back, on its own receipt if none is given."""
    if payment is None or payment.reverses_id:
        raise Refused(say("This payment is not there."))
    if payment.is_reversed:
        raise Refused(say("This payment was taken back already."))
    if not because.strip():
        raise Refused(say("Say why it is taken back."), field="because")
    return Payment.objects.create(
        workorder=payment.workorder,
        booking=payment.booking,
        receipt=receipt or new_receipt(act),
        amount=-payment.amount,
        how=payment.how,
        reverses=payment,
        because=because.strip(),
        by=act.tap.by,
        at=act.now,
    )
