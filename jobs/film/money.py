"""What film costs, and what of it was wasted or saved (pure; money is Decimal)."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from jobs.prices.estimate import rounded

MM_PER_M = Decimal(1000)
HUNDRED = Decimal(100)


@dataclass(frozen=True, kw_only=True)
class PullMoney:
    """A pull in money.

    planned, real  film off the rolls; real is None until it is taken
    waste          the wasted share of the real pull, else of the planned one
    saved          against cutting panel by panel off the same roll
    """

    planned: Decimal
    real: Decimal | None
    waste: Decimal
    saved: Decimal


def cost_per_m(
    *, roll_cost_per_m: Decimal | None, film_cost_per_m2: Decimal | None, width_mm: int
) -> Decimal | None:
    """Cost of a metre of roll: its own, else by the film's cost per area.

        cost per m = cost per m2 x width

    roll_cost_per_m   what this roll cost, or None
    film_cost_per_m2  what the film usually costs, or None
    width_mm          the roll, mm
    Source: arithmetic.

    >>> cost_per_m(
    ...     roll_cost_per_m=None, film_cost_per_m2=Decimal(40), width_mm=1500)
    Decimal('60.00')
    """
    if roll_cost_per_m is not None:
        return roll_cost_per_m
    if film_cost_per_m2 is None:
        return None
    return rounded(film_cost_per_m2 * width_mm / MM_PER_M)


def film_cost(*, length_mm: int, per_m: Decimal) -> Decimal:
    """Cost of a length of roll, to the cent.

        cost = length x cost per metre

    length_mm  taken, mm, 0 or more
    per_m      cost of a metre of this roll
    Source: arithmetic.

    >>> film_cost(length_mm=5790, per_m=Decimal("60.96"))
    Decimal('352.96')
    """
    return rounded(Decimal(length_mm) / MM_PER_M * per_m)


def pull_money(
    *,
    per_m: Decimal,
    planned_mm: int,
    taken_mm: int | None,
    singly_mm: int,
    waste_pct: float,
) -> PullMoney:
    """A pull in money: planned, real, wasted, saved.

        waste = cost x waste %; saved = (panel by panel - pulled) x cost per metre

    per_m       cost of a metre, the mean over the rolls pulled from
    planned_mm  planned pull
    taken_mm    real pull, or None before it is taken
    singly_mm   each panel pulled by itself
    waste_pct   `jobs.pulls.plan.waste_pct`
    Source: arithmetic.
    """
    planned = film_cost(length_mm=planned_mm, per_m=per_m)
    real = None if taken_mm is None else film_cost(length_mm=taken_mm, per_m=per_m)
    pulled_mm = planned_mm if taken_mm is None else taken_mm
    cost = planned if real is None else real
    return PullMoney(
        planned=planned,
        real=real,
        waste=rounded(cost * Decimal(str(round(waste_pct, 4))) / HUNDRED),
        saved=rounded(Decimal(singly_mm - pulled_mm) / MM_PER_M * per_m),
    )
