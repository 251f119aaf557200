"""What the customer pays, and what it costs the shop (pure; money is Decimal).

The price list comes first; the computed cost stands behind it and shows the margin.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal

from shopapp.say import Say, say

CENT = Decimal("0.01")
HUNDRED = Decimal(100)
MINUTES_PER_H = Decimal(60)


@dataclass(frozen=True, kw_only=True)
class PriceKey:
    """A cell of the price list: a package or panel kind, a size class, a film."""

    item: str
    size_class: str
    film: str


@dataclass(frozen=True, kw_only=True)
class AddedWork:
    """Work beside the film, as ordered: its price, and its minutes for the cost."""

    name: str
    price: Decimal
    minutes: Decimal


@dataclass(frozen=True, kw_only=True)
class Line:
    """One line of an estimate."""

    what: Say
    amount: Decimal


@dataclass(frozen=True, kw_only=True)
class Estimate:
    """What the customer is shown.

    missing  cells that the price list does not hold; the total is then not a price
    """

    lines: tuple[Line, ...]
    net: Decimal
    tax: Decimal
    total: Decimal
    missing: tuple[Say, ...]

    @property
    def is_complete(self) -> bool:
        return not self.missing


@dataclass(frozen=True, kw_only=True)
class Cost:
    """What a job costs the shop."""

    film: Decimal
    labour: Decimal
    solutions: Decimal
    added_work: Decimal

    @property
    def total(self) -> Decimal:
        return self.film + self.labour + self.solutions + self.added_work


@dataclass(frozen=True, kw_only=True)
class Margin:
    """What is left of the net price, in money and in percent of it."""

    amount: Decimal
    pct: Decimal


def rounded(amount: Decimal) -> Decimal:
    """Money to the cent, half up.

    >>> rounded(Decimal("2.345"))
    Decimal('2.35')
    """
    return amount.quantize(CENT, rounding=ROUND_HALF_UP)


def estimate(
    *,
    prices: Mapping[PriceKey, Decimal],
    items: Iterable[str],
    size_class: str,
    film: str,
    added_work: Iterable[AddedWork],
    tax_pct: Decimal,
    tax_is_included: bool = False,
) -> Estimate:
    """An estimate from the shop's price list.

        sum = list prices + added work
        tax on top: net = sum, total = net + net x tax
        tax included: total = sum, tax = total x tax / (100 + tax), net = total - tax

    prices      the shop's list
    items       what is sold: a package, or the panel kinds one by one
    size_class  size class of the car
    film        the film's name
    added_work  what else was ordered
    tax_pct     tax on the net price, %, 0 or more
    tax_is_included  the list's prices hold the tax already
    Raises ValueError for a negative tax.
    Source: arithmetic; the tax is rounded once, on the net sum.
    """
    if tax_pct < 0:
        raise ValueError("a tax cannot be negative")
    lines, missing = _listed(prices, items, size_class=size_class, film=film)
    lines += [
        Line(what=say("{work}", work=work.name), amount=rounded(work.price))
        for work in added_work
    ]
    listed = sum((line.amount for line in lines), Decimal(0))
    net, tax = _taxed(rounded(listed), tax_pct=tax_pct, is_included=tax_is_included)
    return Estimate(
        lines=tuple(lines),
        net=net,
        tax=tax,
        total=net + tax,
        missing=tuple(missing),
    )


def _taxed(
    listed: Decimal, *, tax_pct: Decimal, is_included: bool
) -> tuple[Decimal, Decimal]:
    """Net and tax of a sum of the list."""
    if is_included:
        tax = tax_within(total=listed, tax_pct=tax_pct)
        return listed - tax, tax
    return listed, rounded(listed * tax_pct / HUNDRED)


def tax_within(*, total: Decimal, tax_pct: Decimal) -> Decimal:
    """The tax that a price with tax holds.

        total x tax / (100 + tax), rounded once to the cent

    total    what is paid, tax and all
    tax_pct  tax on the net price, %, 0 or more
    Source: arithmetic.

    >>> tax_within(total=Decimal("119.00"), tax_pct=Decimal(19))
    Decimal('19.00')
    """
    if tax_pct < 0:
        raise ValueError("a tax cannot be negative")
    return rounded(total * tax_pct / (HUNDRED + tax_pct))


def _listed(
    prices: Mapping[PriceKey, Decimal],
    items: Iterable[str],
    *,
    size_class: str,
    film: str,
) -> tuple[list[Line], list[Say]]:
    """The lines that the list holds, and a sentence for each that it does not."""
    lines, missing = [], []
    for item in items:
        price = prices.get(PriceKey(item=item, size_class=size_class, film=film))
        if price is None:
            missing.append(
                say(
                    "The price list has no {item} for size {size} in {film}.",
                    item=item,
                    size=size_class,
                    film=film,
                )
            )
        else:
            what = say("{item}, {film}", item=item, film=film)
            lines.append(Line(what=what, amount=rounded(price)))
    return lines, missing


def computed_cost(
    *,
    film_length_m: Decimal,
    film_cost_per_m: Decimal,
    labour_min: Decimal,
    labour_cost_per_h: Decimal,
    solutions_cost: Decimal,
    added_work: Iterable[AddedWork],
) -> Cost:
    """What a job costs the shop: nested film, minutes, solutions, added work.

        film = length pulled x cost per metre; labour = minutes / 60 x cost per hour

    film_length_m      planned or real pull, m, 0 or more
    film_cost_per_m    cost of the roll per metre
    labour_min         minutes of all panels, intake, prep, inspection and hand-over
    labour_cost_per_h  what an hour costs the shop
    solutions_cost     cost of what is poured
    added_work         its minutes count at the same hourly cost
    Source: arithmetic.
    """
    amounts = (film_length_m, film_cost_per_m, labour_min, labour_cost_per_h)
    if min(*amounts, solutions_cost) < 0:
        raise ValueError("lengths, minutes and costs cannot be negative")
    added_min = sum((work.minutes for work in added_work), Decimal(0))
    return Cost(
        film=rounded(film_length_m * film_cost_per_m),
        labour=rounded(labour_min / MINUTES_PER_H * labour_cost_per_h),
        solutions=rounded(solutions_cost),
        added_work=rounded(added_min / MINUTES_PER_H * labour_cost_per_h),
    )


def margin(*, net: Decimal, cost: Cost) -> Margin:
    """What is left of the net price after the cost.

        amount = net - cost; percent = amount / net x 100, and 0 for a price of 0

    net   net price
    cost  computed cost
    Source: arithmetic.
    """
    amount = net - cost.total
    pct = amount / net * HUNDRED if net else Decimal(0)
    return Margin(amount=rounded(amount), pct=pct.quantize(Decimal("0.1")))
