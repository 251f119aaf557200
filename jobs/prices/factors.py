"""The price list from one price and a factor; all prices by a percentage (pure)."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import ROUND_HALF_UP, Decimal

from jobs.coverage.catalogue import Package
from jobs.prices.estimate import HUNDRED

SIZE_FACTORS: Mapping[str, Decimal] = {
    "A": Decimal("0.88"),
    "B": Decimal("0.92"),
    "C": Decimal("0.96"),
    "D": Decimal("1.00"),
    "E": Decimal("1.06"),
    "F": Decimal("1.12"),
    "JC": Decimal("1.04"),
    "JE": Decimal("1.15"),
    "M": Decimal("1.15"),
    "S": Decimal("1.10"),
    "P": Decimal("1.20"),
}
"""What a size asks beside the mid-size. A start of our own, no published source."""
PACKAGE_FACTORS: Mapping[Package, Decimal] = {
    Package.PARTIAL_FRONT: Decimal("0.47"),
    Package.FULL_FRONT: Decimal("1.00"),
    Package.TRACK: Decimal("1.40"),
    Package.FULL_VEHICLE: Decimal("2.60"),
}
"""What a package asks beside a full front. A start of our own, no published source."""


def by_factor(*, amount: Decimal, factor: Decimal, step: Decimal) -> Decimal:
    """A price times a factor, to the nearest step, half up.

        price = round(amount x factor / step) x step; one step at least, but 0 for 0

    amount  money, 0 or more
    factor  0 or more
    step    what prices of the list are multiples of, above 0
    Raises ValueError outside of these.
    Source: arithmetic.

    >>> by_factor(amount=Decimal(1890), factor=Decimal("1.06"), step=Decimal(10))
    Decimal('2000.00')
    """
    if amount < 0 or factor < 0 or step <= 0:
        raise ValueError("a price and a factor are 0 or more, a step is above 0")
    if not amount or not factor:
        return Decimal("0.00")
    steps = (amount * factor / step).quantize(Decimal(1), rounding=ROUND_HALF_UP)
    return (max(steps, Decimal(1)) * step).quantize(Decimal("0.01"))


def raised(*, amount: Decimal, pct: Decimal, step: Decimal) -> Decimal:
    """A price more or less by percent, to the nearest step.

        price = amount x (100 + pct) / 100, rounded to the step

    pct  -100 or more
    Source: arithmetic.

    >>> raised(amount=Decimal(1890), pct=Decimal(5), step=Decimal(10))
    Decimal('1980.00')
    """
    return by_factor(amount=amount, factor=(HUNDRED + pct) / HUNDRED, step=step)
