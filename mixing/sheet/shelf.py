"""Open stock containers: which may be used, oldest first, and what is left (pure)."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, field, replace

from mixing.dispensers.dosing import Substance
from mixing.sheet.balance import vv_from_ww_pct
from mixing.sheet.request import Basis, StockContainer
from shopapp.figures import Figure, computed, given
from shopapp.say import Say, say

WORTH_POURING = 0.1
"""A rest of less than this share of the pour is left for topping up."""


@dataclass(frozen=True, kw_only=True)
class Stock:
    """A container that may be used: its strength is known (pure liquids count 100)."""

    container: StockContainer
    vv: Figure


@dataclass(frozen=True, kw_only=True)
class Taking:
    """What one fill takes from one container: all that is wanted, or its rest."""

    stock: Stock
    left_ml: float
    is_rest: bool


@dataclass(kw_only=True)
class Shelf:
    """The containers of one sheet while it is being worked out.

    `left_ml` goes down as solutions are planned, so two solutions never count on the
    same alcohol.
    """

    stocks: tuple[Stock, ...]
    unclear: tuple[tuple[Substance, Say], ...] = ()
    left_ml: dict[str, float] = field(default_factory=dict)

    def copy(self) -> Shelf:
        """The same shelf before anything more is taken."""
        return replace(self, left_ml=dict(self.left_ml))

    def of(self, substance: Substance) -> tuple[Stock, ...]:
        """Containers of a substance, oldest first."""
        return tuple(s for s in self.stocks if s.container.substance is substance)

    def unclear_for(self, substance: Substance) -> tuple[Say, ...]:
        """Why containers of a substance are not used."""
        return tuple(why for unclear, why in self.unclear if unclear is substance)

    def held_ml(self, stocks: Iterable[Stock]) -> float:
        """What these containers still hold."""
        return sum(self.left_ml[stock.container.code] for stock in stocks)

    def takings(
        self, stocks: Iterable[Stock], *, volume_ml: float, vv_pct: float
    ) -> tuple[Taking, ...] | None:
        """The containers one fill is drawn from, oldest first; None: too little left.

        volume_ml, vv_pct  what is to be reached; for pure liquids 100
        """
        wanted = volume_ml * vv_pct / 100
        takings: list[Taking] = []
        for stock in stocks:
            left = self.left_ml[stock.container.code]
            need = wanted / stock.vv.value * 100
            if left >= need:
                return (*takings, Taking(stock=stock, left_ml=left, is_rest=False))
            if left >= need * WORTH_POURING:
                takings.append(Taking(stock=stock, left_ml=left, is_rest=True))
                wanted -= left * stock.vv.value / 100
        return None

    def take(self, code: str, amount_ml: float) -> None:
        """Count an amount as used; a container never goes below nothing."""
        if code:
            self.left_ml[code] = max(0.0, self.left_ml[code] - amount_ml)


def open_shelf(stock: Iterable[StockContainer]) -> Shelf:
    """The shelf with every container that may be used, and why others may not."""
    stocks, unclear = [], []
    for container in sorted(stock, key=_oldest_first):
        reason = _why_not(container)
        if reason is None:
            stocks.append(Stock(container=container, vv=_strength(container)))
        else:
            unclear.append((container.substance, reason))
    return Shelf(
        stocks=tuple(stocks),
        unclear=tuple(unclear),
        left_ml={
            each.container.code: _or(each.container.left_ml, math.inf)
            for each in stocks
        },
    )


def _why_not(container: StockContainer) -> Say | None:
    code = container.code
    if _or(container.expires_in_days, 0) < 0:
        return say("{code} is past its date and is not used.", code=code)
    if container.substance is not Substance.ALCOHOL:
        return None
    if container.strength_pct is None:
        return say("Enter the strength of {code} from its label.", code=code)
    if container.basis is None:
        label = container.strength_pct
        return say(
            "Say whether the {label} of {code} is by volume or by weight: by weight it "
            "would be {volume}.",
            label=given(label, "pct", f"label of {code}"),
            code=code,
            volume=computed(vv_from_ww_pct, "vv_pct", ww_pct=label),
        )
    return None


def _strength(container: StockContainer) -> Figure:
    """Strength by volume with the spread of its label; pure liquids count 100."""
    if container.substance is not Substance.ALCOHOL or container.strength_pct is None:
        return given(100.0, "pct", "undiluted")
    label, spread = container.strength_pct, container.strength_spread_pct
    low, high = max(0.0, label - spread), min(100.0, label + spread)
    note = f"label of {container.code}"
    if container.basis is Basis.WW:
        return computed(
            vv_from_ww_pct,
            "vv_pct",
            (vv_from_ww_pct(ww_pct=low), vv_from_ww_pct(ww_pct=high))
            if spread
            else None,
            ww_pct=given(label, "ww_pct", note),
        )
    known = given(label, "vv_pct", note)
    return replace(known, low=low, high=high) if spread else known


def _oldest_first(container: StockContainer) -> tuple[float, float, str]:
    return (
        -_or(container.opened_days, -math.inf),
        _or(container.expires_in_days, math.inf),
        container.code,
    )


def _or(value: float | None, otherwise: float) -> float:
    return otherwise if value is None else value
