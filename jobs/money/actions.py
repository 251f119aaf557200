"""Money: payments, deposits, and entries that take them back."""

from __future__ import annotations

from decimal import Decimal

from jobs import limits
from jobs.models import Booking, Payment, WorkOrder
from jobs.money.queries import balance_of
from shopapp.frame import Act, Refused, action, refuse_outside
from shopapp.say import say


@action("payment.record")
def record_payment(
    act: Act, *, workorder_pk: int, amount: Decimal, how: str, over: bool = False
) -> None:
    """Keep money that was received for an order.

    over  more than what is owed was really received
    """
    workorder = act.lock(WorkOrder, workorder_pk)
    _check(amount, how, balance=balance_of(workorder), over=over)
    payment = Payment.objects.create(
        workorder=workorder, amount=amount, how=how, by=act.tap.by, at=act.now
    )
    act.event(workorder, "paid", payment=payment, amount=amount, how=how)


@action("payment.reverse")
def reverse_payment(
    act: Act, *, workorder_pk: int, payment_pk: int, because: str
) -> None:
    """Take a payment back by an entry of its own."""
    workorder = act.lock(WorkOrder, workorder_pk)
    payment = workorder.payments.filter(pk=payment_pk).first()
    entry = _reverse(act, payment, because=because)
    act.event(
        workorder,
        "payment_reversed",
        payment=payment,
        amount=-entry.amount,
        because=entry.because,
    )


@action("deposit.record")
def record_deposit(
    act: Act, *, booking_pk: int, amount: Decimal, how: str, over: bool = False
) -> None:
    """Keep money that was received before the car came."""
    booking = _expected(act, booking_pk)
    _check(amount, how, balance=balance_of(booking), over=over)
    payment = Payment.objects.create(
        booking=booking, amount=amount, how=how, by=act.tap.by, at=act.now
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
    entry = _reverse(act, payment, because=because)
    act.event(
        booking,
        "payment_reversed",
        payment=payment,
        amount=-entry.amount,
        because=entry.because,
    )


def give_back(act: Act, booking: Booking, *, because: str) -> None:
    """Take every deposit of a booking back, one entry for each."""
    for payment in booking.payments.filter(reverses=None, reversed_by=None):
        _reverse(act, payment, because=because)


def _expected(act: Act, booking_pk: int) -> Booking:
    booking = act.lock(Booking, booking_pk)
    if booking.state == Booking.State.ARRIVED:
        raise Refused(say("The car is here: record it on its work order."))
    if booking.state == Booking.State.CANCELLED:
        raise Refused(say("This booking was cancelled. Take the cancelling back."))
    return booking


def _check(amount: Decimal, how: str, *, balance: Decimal | None, over: bool) -> None:
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


def _reverse(act: Act, payment: Payment | None, *, because: str) -> Payment:
    if payment is None or payment.reverses_id:
        raise Refused(say("This payment is not there."))
    if payment.is_reversed:
        raise Refused(say("This payment was taken back already."))
    if not because.strip():
        raise Refused(say("Say why it is taken back."), field="because")
    return Payment.objects.create(
        workorder=payment.workorder,
        booking=payment.booking,
        amount=-payment.amount,
        how=payment.how,
        reverses=payment,
        because=because.strip(),
        by=act.tap.by,
        at=act.now,
    )
