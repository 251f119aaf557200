"""The lines that make a price, to the cent (pure; money is Decimal)."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from jobs.prices.estimate import HUNDRED, rounded, tax_within

NOTHING = Decimal(0)


class LineKind(StrEnum):
    """What a line of a price is for."""

    PACKAGE = "package"
    WORK = "work"
    ADDITION = "addition"
    AGREED = "agreed"
    DISCOUNT = "discount"
    TAX = "tax"


@dataclass(frozen=True, kw_only=True)
class PriceLine:
    """One line of a price; a discount is below nothing."""

    kind: LineKind
    name: str
    amount: Decimal


@dataclass(frozen=True, kw_only=True)
class PriceLines:
    """A price with its lines, whose sum it is.

    tax        the tax in the price; a line of its own where it comes on top
    is_on_top  whether the lines before it are without tax
    """

    lines: tuple[PriceLine, ...]
    total: Decimal
    tax: Decimal
    tax_pct: Decimal
    is_on_top: bool

    @property
    def net(self) -> Decimal:
        """The price without its tax."""
        return self.total - self.tax


def lines_of(
    *,
    price: Decimal,
    package: PriceLine,
    others: Sequence[PriceLine],
    tax_name: str,
    tax_pct: Decimal,
    is_on_top: bool,
) -> PriceLines:
    """The lines of an agreed price.

        package = price (less the tax, where it comes on top) - all other lines

    What was agreed is the price; what stands beside the package has its own amount,
    and the package is the rest. Where that would be below nothing, less was agreed
    than the other work is listed at: the package is free and a line says so.

    price      what is paid, tax and all, 0 or more
    package    kind and name of the first line; its amount is not read
    others     other work, additions and discounts, in the terms of the list
    tax_pct    tax on the net price, %, 0 or more
    is_on_top  the list is without tax
    Raises ValueError for a negative tax. Source: arithmetic; the tax is rounded once,
    half up to the cent.
    """
    tax = tax_within(total=price, tax_pct=tax_pct)
    on_top = is_on_top and tax_pct > 0
    listed = price - tax if on_top else price
    rest = listed - sum((line.amount for line in others), NOTHING)
    first = PriceLine(kind=package.kind, name=package.name, amount=max(rest, NOTHING))
    lines = [first, *others]
    if rest < 0:
        lines.append(PriceLine(kind=LineKind.AGREED, name="", amount=rest))
    if on_top:
        lines.append(PriceLine(kind=LineKind.TAX, name=tax_name, amount=tax))
    return PriceLines(
        lines=tuple(lines), total=price, tax=tax, tax_pct=tax_pct, is_on_top=on_top
    )


def listed_sum(*, price: Decimal, tax_pct: Decimal, is_on_top: bool) -> Decimal:
    """What the lines before the tax come to: a discount is of this.

        price, or price - tax where the list is without tax

    price, tax_pct, is_on_top  as in `lines_of`
    Source: arithmetic.
    """
    return price - tax_within(total=price, tax_pct=tax_pct) if is_on_top else price


def share(*, listed: Decimal, pct: Decimal) -> Decimal:
    """A percentage of the lines, to the cent.

        listed x pct / 100, rounded half up

    listed  what the lines come to
    pct     per cent, 0 to 100
    Raises ValueError outside of that. Source: arithmetic.
    """
    if not 0 <= pct <= HUNDRED:
        raise ValueError("a discount is between 0 and 100 per cent")
    return rounded(listed * pct / HUNDRED)


def price_less(
    *, price: Decimal, amount: Decimal, tax_pct: Decimal, is_on_top: bool
) -> Decimal:
    """The price once an amount is taken off its lines.

        price - amount; where the list is without tax: net - amount, and its tax anew

    amount  taken off, in the terms of the list, 0 to `listed_sum`
    price, tax_pct, is_on_top  as in `lines_of`
    Raises ValueError where more is taken off than there is. Source: arithmetic.
    """
    left = listed_sum(price=price, tax_pct=tax_pct, is_on_top=is_on_top) - amount
    if amount < 0 or left < 0:
        raise ValueError("a discount is not more than the price")
    return left + rounded(left * tax_pct / HUNDRED) if is_on_top else left
