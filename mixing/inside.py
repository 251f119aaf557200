"""What really stands in a vessel after its pours, and how sure that is (pure).

Ranges come from the corners: strength rises with alcohol and falls with water, volume
rises with both, so the ends of the pours give the ends of the result.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from mixing.balance import (
    joined_ml,
    joined_vv_pct,
    mixed_ml,
    soap_ml_per_l,
    water_to_mark_ml,
)
from mixing.dosing import Substance
from mixing.parts import Pour, computed
from mixing.pours import Mix, joined_stock
from mixing.recipes import FillMode
from shopapp.figures import Figure, given

NOTHING = given(0.0, "ml", "none poured")
NO_ALCOHOL = given(0.0, "vv_pct", "no alcohol")


@dataclass(frozen=True, kw_only=True)
class Inside:
    """What was poured, as the formulas take it.

    stock_ends     (mL, % v/v) of the alcohol where reading and label end
    volume_limits  where a mark holds the volume, whatever was poured below it
    """

    stock: Figure
    stock_vv: Figure
    water: Figure
    soap: Figure
    stock_ends: tuple[tuple[float, float], ...]
    has_alcohol: bool
    has_soap: bool
    volume_limits: tuple[float, float] | None = None

    @property
    def inputs(self) -> dict[str, Figure]:
        """Inputs of the formulas of `mixing.balance`."""
        return {
            "stock_ml": self.stock,
            "stock_vv_pct": self.stock_vv,
            "water_ml": self.water,
            "soap_ml": self.soap,
        }

    def limits(self, made_by: Callable[..., float]) -> tuple[float, float]:
        """Low and high end of a result over the ends of what was poured."""
        water, soap = ends_of(self.water), ends_of(self.soap)
        values = [
            made_by(stock_ml=ml, stock_vv_pct=vv, water_ml=water[i], soap_ml=soap[i])
            for ml, vv in self.stock_ends
            for i in (0, 1)
        ]
        return min(values), max(values)


def inside_of(mix: Mix, pours: Sequence[Pour]) -> Inside:
    """What the pours of a vessel bring in, in the words of the mass balance."""
    stock = [pour for pour in pours if pour.substance is Substance.ALCOHOL]
    joined = joined_stock(stock)
    inside = Inside(
        stock=NOTHING if joined is None else joined[0],
        stock_vv=NO_ALCOHOL if joined is None else joined[1],
        water=_poured(pours, Substance.WATER),
        soap=_poured(pours, Substance.SOAP),
        stock_ends=_ends_of_stock(stock) or ((0.0, 0.0),),
        has_alcohol=joined is not None,
        has_soap=mix.soap is not None,
    )
    if mix.mode is FillMode.MEASURED or joined is None:
        return inside
    (low, high), (least, most) = ends_of(inside.water), ends_of(inside.soap)
    return replace(
        inside,
        water=_water_under_the_mark(inside, inside.water, mix.planned),
        volume_limits=(low + least, high + most),
    )


def _poured(pours: Sequence[Pour], substance: Substance) -> Figure:
    return next((pour.amount for pour in pours if pour.substance is substance), NOTHING)


def _ends_of_stock(stock: Sequence[Pour]) -> tuple[tuple[float, float], ...]:
    """Volume and strength of the alcohol with all readings and labels at one end."""
    ends = (0, 1)
    if all(_known(pour.strength) for pour in stock):
        return tuple(_joined_at(stock, amount=end, label=0) for end in ends)
    return tuple(
        _joined_at(stock, amount=amount, label=label)
        for amount in ends
        for label in ends
    )


def _joined_at(
    stock: Sequence[Pour], *, amount: int, label: int
) -> tuple[float, float]:
    volume, strength = 0.0, 0.0
    for pour in stock:
        ml, vv = (
            ends_of(pour.amount)[amount],
            ends_of(pour.strength or NO_ALCOHOL)[label],
        )
        if not volume:
            volume, strength = ml, vv
            continue
        inputs = {
            "first_ml": volume,
            "first_vv_pct": strength,
            "second_ml": ml,
            "second_vv_pct": vv,
        }
        volume, strength = joined_ml(**inputs), joined_vv_pct(**inputs)
    return volume, strength


def _known(strength: Figure | None) -> bool:
    """A label without a spread has one end only."""
    return strength is None or strength.low is None


def _water_under_the_mark(stock: Inside, mark: Figure, planned: Figure) -> Figure:
    """Water that the mark stands for: the more alcohol below it, the less."""
    ends = [
        water_to_mark_ml(
            stock_ml=min(ml, volume_ml), stock_vv_pct=vv, volume_ml=volume_ml
        )
        for ml, vv in stock.stock_ends
        for volume_ml in ends_of(mark)
    ]
    return computed(
        water_to_mark_ml,
        "ml",
        (min(ends), max(ends)),
        stock_ml=stock.stock,
        stock_vv_pct=stock.stock_vv,
        volume_ml=planned,
    )


def ranged(made_by: Callable[..., float], unit: str, inside: Inside) -> Figure:
    """A result with its range."""
    return computed(made_by, unit, inside.limits(made_by), **inside.inputs)


def volume_of(inside: Inside) -> Figure:
    if inside.volume_limits is None:
        return ranged(mixed_ml, "ml", inside)
    return computed(mixed_ml, "ml", inside.volume_limits, **inside.inputs)


def soap_dose(inside: Inside, volume: Figure) -> Figure:
    (least, most), (small, large) = ends_of(inside.soap), ends_of(volume)
    return computed(
        soap_ml_per_l,
        "ml_per_l",
        (
            soap_ml_per_l(soap_ml=least, volume_ml=large),
            soap_ml_per_l(soap_ml=most, volume_ml=small),
        ),
        soap_ml=inside.soap,
        volume_ml=volume,
    )


def ends_of(figure: Figure) -> tuple[float, float]:
    low = figure.value if figure.low is None else figure.low
    return low, figure.value if figure.high is None else figure.high
