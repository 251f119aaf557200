"""What really stands in a vessel after its pours, and how sure that is (pure).

Ranges come from the corners: strength rises with alcohol and falls with water, volume
rises with both, so the ends of the pours give the ends of the result.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from mixing.dispensers.dosing import Substance
from mixing.recipes.spec import FillMode
from mixing.sheet.balance import (
    joined_ml,
    joined_vv_pct,
    mixed_ml,
    soap_ml_per_l,
    water_to_mark_ml,
)
from mixing.sheet.parts import Pour
from mixing.sheet.pours import Mix, joined_stock
from shopapp.figures import Figure, computed, given

NOTHING = given(0.0, "ml", "none poured")
NO_ALCOHOL = given(0.0, "vv_pct", "no alcohol")


Corner = tuple[float, float, float, float]
"""Stock mL, its % v/v, water mL and soap mL, each at one end of its range."""


@dataclass(frozen=True, kw_only=True)
class Inside:
    """What was poured, as the formulas take it, and the corners of its ranges."""

    stock: Figure
    stock_vv: Figure
    water: Figure
    soap: Figure
    corners: tuple[Corner, ...]
    has_alcohol: bool
    has_soap: bool

    @property
    def inputs(self) -> dict[str, Figure]:
        """Inputs of the formulas of `mixing.sheet.balance`."""
        return {
            "stock_ml": self.stock,
            "stock_vv_pct": self.stock_vv,
            "water_ml": self.water,
            "soap_ml": self.soap,
        }

    def limits(self, made_by: Callable[..., float]) -> tuple[float, float]:
        """Low and high end of a result over the corners."""
        values = [
            made_by(stock_ml=stock, stock_vv_pct=vv, water_ml=water, soap_ml=soap)
            for stock, vv, water, soap in self.corners
            # A jug that is off by all it reads may pour nothing: that is no mix.
            if stock or water or soap
        ]
        return min(values), max(values)


def inside_of(mix: Mix, pours: Sequence[Pour]) -> Inside:
    """What the pours of a vessel bring in, in the words of the mass balance."""
    stock = [pour for pour in pours if pour.substance is Substance.ALCOHOL]
    joined = joined_stock(stock)
    alcohol, vv = (NOTHING, NO_ALCOHOL) if joined is None else joined
    water, soap = _poured(pours, Substance.WATER), _poured(pours, Substance.SOAP)
    ends = _ends_of_stock(stock) or ((0.0, 0.0),)
    if mix.mode is FillMode.MARK and joined is not None:
        corners = _corners_to_mark(ends, water, soap)
        water = _water_under_the_mark(alcohol, vv, corners, mix.planned)
    else:
        # Water and soap weaken and fill alike, so their ends go together.
        corners = tuple(
            (ml, strength, *pair)
            for ml, strength in ends
            for pair in zip(ends_of(water), ends_of(soap), strict=True)
        )
    return Inside(
        stock=alcohol,
        stock_vv=vv,
        water=water,
        soap=soap,
        corners=corners,
        has_alcohol=joined is not None,
        has_soap=mix.soap is not None,
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


def _corners_to_mark(
    stock_ends: Sequence[tuple[float, float]], mark: Figure, soap: Figure
) -> tuple[Corner, ...]:
    """Corners where the mark decides the water: the more alcohol, the less of it."""
    corners = []
    for ml, vv in stock_ends:
        for level in ends_of(mark):
            stock = min(ml, level)
            water = water_to_mark_ml(stock_ml=stock, stock_vv_pct=vv, volume_ml=level)
            corners += [(stock, vv, water, end) for end in ends_of(soap)]
    return tuple(corners)


def _water_under_the_mark(
    stock: Figure, vv: Figure, corners: Sequence[Corner], planned: Figure
) -> Figure:
    """Water that the mark stands for."""
    waters = [water for _, _, water, _ in corners]
    return computed(
        water_to_mark_ml,
        "ml",
        (min(waters), max(waters)),
        stock_ml=stock,
        stock_vv_pct=vv,
        volume_ml=planned,
    )


def ranged(made_by: Callable[..., float], unit: str, inside: Inside) -> Figure:
    """A result with its range."""
    return computed(made_by, unit, inside.limits(made_by), **inside.inputs)


def volume_of(inside: Inside) -> Figure:
    """Real volume in the vessel, with its range."""
    return ranged(mixed_ml, "ml", inside)


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
