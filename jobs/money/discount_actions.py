"""Discounts: a line with its reason on a booking or an order, and its taking back."""

from __future__ import annotations

from decimal import Decimal

from jobs import limits
from jobs.invoices.queries import refuse_invoiced
from jobs.models import Booking, Discount, WorkOrder
from jobs.money.lines import listed_sum, price_less, share
from jobs.money.queries import tax_rule
from shopapp.frame import Act, Refused, action
from shopapp.say import say


@action("discount.give", within=limits.DISCOUNT)
def give_discount(
    act: Act,
    *,
    workorder_pk: int | None = None,
    booking_pk: int | None = None,
    amount: Decimal | None = None,
    pct: Decimal | None = None,
    because: str,
) -> None:
    """Lower the agreed price by an amount, or by per cent of it, and say why."""
    row = _open(act, workorder_pk=workorder_pk, booking_pk=booking_pk)
    if row.price is None:
        raise Refused(say("No price is agreed yet."), field="amount")
    if (amount is None) == (pct is None):
        raise Refused(say("Give an amount, or per cent: one of both."), field="amount")
    if not because.strip():
        raise Refused(say("Say why it costs less."), field="because")
    is_on_top = not tax_rule().is_included
    terms = {"price": row.price, "tax_pct": row.tax_pct, "is_on_top": is_on_top}
    listed = listed_sum(**terms)  # type: ignore[arg-type]
    taken = amount if pct is None else share(listed=listed, pct=pct)
    assert taken is not None
    if taken <= 0 or taken > listed:
        raise Refused(
            say(
                "The price is {listed}. No more than that can be taken off.",
                listed=f"{listed:,.2f}",
            ),
            field="amount" if pct is None else "pct",
        )
    price = price_less(amount=taken, **terms)  # type: ignore[arg-type]
    discount = Discount.objects.create(
        workorder=row if isinstance(row, WorkOrder) else None,
        booking=row if isinstance(row, Booking) else None,
        amount=taken,
        pct=pct,
        lowered=row.price - price,
        because=because.strip(),
        by=act.tap.by,
        at=act.now,
    )
    _set_price(row, price)
    act.event(
        row,
        "discount_given",
        discount=discount,
        amount=taken,
        because=discount.because,
    )


@action("discount.take_back")
def take_back_discount(
    act: Act,
    *,
    discount_pk: int,
    workorder_pk: int | None = None,
    booking_pk: int | None = None,
) -> None:
    """Take a discount back; the price is what it was without it."""
    row = _open(act, workorder_pk=workorder_pk, booking_pk=booking_pk)
    discount = row.discounts.filter(pk=discount_pk).first()
    if discount is None:
        raise Refused(say("This discount is not there."))
    if discount.ended_at:
        raise Refused(say("This discount was taken back already."))
    discount.ended_at, discount.ended_by = act.now, act.tap.by
    discount.save(update_fields=["ended_at", "ended_by"])
    _set_price(row, (row.price or Decimal(0)) + discount.lowered)
    act.event(row, "discount_ended", discount=discount, amount=discount.amount)


def _open(
    act: Act, *, workorder_pk: int | None, booking_pk: int | None
) -> WorkOrder | Booking:
    """The locked row, where its price may still change."""
    if workorder_pk is not None:
        order = act.lock(WorkOrder, workorder_pk)
        refuse_invoiced(order)
        return order
    assert booking_pk is not None
    booking = act.lock(Booking, booking_pk)
    if booking.state == Booking.State.ARRIVED:
        raise Refused(say("The car is here: give it on its work order."))
    if booking.state == Booking.State.CANCELLED:
        raise Refused(say("This booking was cancelled. Take the cancelling back."))
    return booking


def _set_price(row: WorkOrder | Booking, price: Decimal) -> None:
    row.price = price
    row.save(update_fields=["price"])
