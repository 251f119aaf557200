"""What a booking or an order costs, what came in, and what is still owed."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from jobs.models import Booking, Customer, TaxRule, WorkOrder
from jobs.prices.estimate import HUNDRED, rounded, tax_within
from shopapp.once import once_a_page


@dataclass(frozen=True, kw_only=True)
class Money:
    """What an order costs and what has come in.

    deposit  what was asked for before the car came
    """

    price: Decimal
    paid: Decimal
    on_account: bool
    deposit: Decimal = Decimal(0)
    tax_pct: Decimal = Decimal(0)

    @property
    def tax(self) -> Decimal:
        """The tax that the price holds."""
        return tax_within(total=self.price, tax_pct=self.tax_pct)

    @property
    def owed(self) -> Decimal:
        """What is still to be paid now; nothing for an account customer."""
        if self.on_account:
            return Decimal(0)
        return max(Decimal(0), self.price - self.paid)

    @property
    def too_much(self) -> Decimal:
        """What came in beyond the price."""
        return max(Decimal(0), self.paid - self.price)

    @property
    def deposit_open(self) -> Decimal:
        """What was asked for as a deposit and has not come."""
        return max(Decimal(0), self.deposit - self.paid)


def money_of(row: WorkOrder | Booking) -> Money:
    """Price and payments of an order, or of a booking before its car comes."""
    if isinstance(row, WorkOrder):
        booking, on_account = row.booking, row.on_account
    else:
        booking, on_account = row, row.customer.is_account
    return Money(
        price=row.price or Decimal(0),
        paid=paid_for(row),
        on_account=on_account,
        deposit=booking.deposit if booking else Decimal(0),
        tax_pct=row.tax_pct,
    )


def paid_for(row: WorkOrder | Booking) -> Decimal:
    """What came in, less what was taken back."""
    return sum((payment.amount for payment in row.payments.all()), Decimal(0))


def balance_of(row: WorkOrder | Booking) -> Decimal | None:
    """Price less payments, on account or not; None while no price is agreed."""
    return None if row.price is None else row.price - paid_for(row)


@once_a_page
def tax_rule() -> TaxRule:
    """The shop's tax; none where nobody has set it."""
    return TaxRule.objects.filter(pk=1).first() or TaxRule()


def tax_pct_for(customer: Customer) -> Decimal:
    """The rate of what is agreed with a customer now: none for an untaxed one."""
    return Decimal(0) if customer.is_untaxed else tax_rule().pct


def listed_for(customer: Customer, *, total: Decimal) -> Decimal:
    """What this customer pays of the list's sum, tax and all.

    total  what a taxed customer pays
    """
    rule = tax_rule()
    if not customer.is_untaxed or (rule.is_included and not rule.untaxed_pay_net):
        return total
    return total - tax_within(total=total, tax_pct=rule.pct)


def listed_on(order: WorkOrder, price: Decimal) -> Decimal:
    """A price of the list, in the terms of this order: without the tax it never pays.

    An order that was agreed with tax keeps it, whatever its customer is today.
    """
    if order.tax_pct or not tax_rule().is_included:
        return price
    return listed_for(order.customer, total=price)


def with_tax(price: Decimal, *, tax_pct: Decimal) -> Decimal:
    """A price as the list gives it, as it is agreed: tax and all."""
    if tax_rule().is_included:
        return price
    return rounded(price * (1 + tax_pct / HUNDRED))
