"""What a solution is made of: specifications, curves and the trade's defaults (pure).

A `RecipeSpec` is one immutable version. The shop's own versions live in rows; the
ones that a new shop starts with come from data/recipes.csv (common practice).
"""

from __future__ import annotations

import math
from dataclasses import dataclass, fields
from enum import StrEnum
from functools import cache, lru_cache

from mixing.dispensers.dosing import Dispenser, DispenserKind
from mixing.limits import CURVE_C, RESERVE_PCT
from mixing.tables import Row, table
from shopapp.figures import formula


class SolutionKind(StrEnum):
    """The four wet-application solutions; a vessel keeps one for life."""

    SLIP = "slip"
    TACK = "tack"
    ALL_IN_ONE = "all_in_one"
    GEL = "gel"


class FillMode(StrEnum):
    """How the water gets into the vessel."""

    MEASURED = "measured"
    MARK = "mark"


@dataclass(frozen=True, kw_only=True)
class CurvePoint:
    """One point of a shop's curve: at `temp_c`, this many mL or % v/v."""

    temp_c: float
    amount: float


@dataclass(frozen=True, kw_only=True)
class Saying:
    """The trade's words for one bottle, so that the sheet can show what they hide.

    stock_ml, water_ml, stock_vv_pct    "240 mL of 70 % and 710 mL of water"
    bottle, stock, water in US fl oz    "a 32 oz bottle, 8 oz and 24 oz"
    drops                               "6 drops" of soap
    """

    stock_ml: float = 0.0
    stock_vv_pct: float = 0.0
    water_ml: float = 0.0
    bottle_fl_oz: float = 0.0
    stock_fl_oz: float = 0.0
    water_fl_oz: float = 0.0
    drops: int = 0


@dataclass(frozen=True, kw_only=True)
class RecipeSpec:
    """One version of a recipe.

    key                     version key, kept by every sheet made from it
    reference_ml            the bottle that the amounts are for, finished, mL
    vv_pct                  strength of the finished solution, % v/v, made up to
                            `reference_ml` (not as poured on top of each other)
    soap_ml                 soap in one reference bottle at 20 to 24 °C, mL
    soap_curve              soap per reference bottle over the warmer of panel and air
    strength_curve          % v/v over the panel temperature; used only when on
    use_low, use_high       mL per m2 of film laid
    reserve_share           mixed on top of the use, as a share of it
    *_tolerance_pct         how far a pour may leave the target, % of the target
    source                  who says so

    Raises ValueError in a plain sentence for amounts that cannot be.
    """

    key: str
    kind: SolutionKind
    name: str
    reference_ml: float = 950.0
    vv_pct: float = 0.0
    soap_ml: float = 0.0
    soap_curve: tuple[CurvePoint, ...] = ()
    strength_curve: tuple[CurvePoint, ...] = ()
    strength_curve_on: bool = False
    use_low_ml_per_m2: float
    use_high_ml_per_m2: float
    reserve_share: float = 1 / 3
    strength_tolerance_pct: float = 5.0
    soap_tolerance_pct: float = 15.0
    saying: Saying = Saying()
    source: str

    def __post_init__(self) -> None:
        for sentence in _wrong_with(self):
            raise ValueError(sentence)

    @property
    def has_alcohol(self) -> bool:
        return self.kind in (SolutionKind.TACK, SolutionKind.ALL_IN_ONE)

    @property
    def has_soap(self) -> bool:
        return self.kind in (SolutionKind.SLIP, SolutionKind.ALL_IN_ONE)

    @property
    def most_soap_pct(self) -> float:
        """The most soap that any reading asks for, % by mass: it weighs about what
        water does."""
        if not self.has_soap:
            return 0.0
        most = max([self.soap_ml, *(point.amount for point in self.soap_curve)])
        return 100 * most / self.reference_ml

    @property
    def follows_temperature(self) -> bool:
        """Does any pour wait for a reading of panel and air?"""
        soap = self.has_soap and bool(self.soap_curve)
        return soap or (self.strength_curve_on and bool(self.strength_curve))


@formula("recipes.soap_from_curve_ml")
def soap_from_curve_ml(*, warmer_c: float, curve: str) -> float:
    """Soap for one reference bottle at the warmer of panel and air.

        soap = y1 + (y2 - y1) * (T - T1) / (T2 - T1)    between two points, flat outside

    warmer_c  the higher of panel and air temperature, °C
    curve     the shop's points as "15:1.5 20:2", rising in temperature

    Not for:  another soap without tuning the curve.
    Source:   common practice, no published source; straight lines between the points.

    >>> soap_from_curve_ml(warmer_c=26, curve="24:2 28:2.5")
    2.25
    """
    return _on_curve(warmer_c, curve_from_text(curve))


@formula("recipes.strength_from_curve_vv_pct")
def strength_from_curve_vv_pct(*, panel_c: float, curve: str) -> float:
    """Strength wanted at a panel temperature, on a shop's own tack curve.

        vv = y1 + (y2 - y1) * (T - T1) / (T2 - T1)    between two points, flat outside

    panel_c  panel temperature, °C
    curve    the shop's points as "10:20 20:17.7", rising in temperature

    Not for: a shop that has not tuned it: the curve is off by default.
    Source:  common practice in some shops, no published source.

    >>> strength_from_curve_vv_pct(panel_c=15, curve="10:20 20:18")
    19.0
    """
    return _on_curve(panel_c, curve_from_text(curve))


@formula("recipes.warmer_c")
def warmer_c(*, panel_c: float, air_c: float) -> float:
    """The temperature that soap follows.

        warmer = max(panel, air)

    panel_c  panel temperature, °C
    air_c    bay air temperature, °C

    Not for: the dew point margin, which goes by the panel alone.
    Source:  common practice, no published source.

    >>> warmer_c(panel_c=31, air_c=29)
    31
    """
    return max(panel_c, air_c)


def curve_text(points: tuple[CurvePoint, ...]) -> str:
    """Points as "15:1.5 20:2", the form that figures and tables carry.

    >>> curve_text(curve_from_text("15:1.5 20:2"))
    '15:1.5 20:2'
    """
    return " ".join(
        f"{_plain(point.temp_c)}:{_plain(point.amount)}" for point in points
    )


@lru_cache(maxsize=256)
def curve_from_text(text: str) -> tuple[CurvePoint, ...]:
    """The points that `curve_text` wrote."""
    pairs = (pair.split(":") for pair in text.split())
    return tuple(CurvePoint(temp_c=float(c), amount=float(y)) for c, y in pairs)


def spec_changes(before: RecipeSpec, after: RecipeSpec) -> list[tuple[str, str, str]]:
    """What one version says otherwise than another: name, before, after."""
    changes = []
    for each in fields(RecipeSpec):
        old, new = getattr(before, each.name), getattr(after, each.name)
        if each.name == "key" or old == new:
            continue
        if each.name.endswith("_curve"):
            old, new = curve_text(old), curve_text(new)
        words = each.name.replace("_", " ")
        changes.append((words, _worded(old), _worded(new)))
    return changes


def _worded(value: object) -> str:
    return f"{value:g}" if isinstance(value, float) else str(value)


@cache
def trade_recipes() -> tuple[RecipeSpec, ...]:
    """The recipes a new shop starts with: slip, tack, all-in-one, gel.

    >>> [recipe.key for recipe in trade_recipes()]
    ['slip-1', 'tack-1', 'all-in-one-1', 'gel-1']
    """
    return tuple(_recipe(row) for row in table("recipes"))


def trade_recipe(kind: SolutionKind) -> RecipeSpec:
    """The recipe of one kind that a new shop starts with."""
    return next(recipe for recipe in trade_recipes() if recipe.kind is kind)


@cache
def usual_dispensers() -> tuple[Dispenser, ...]:
    """The dispensers that a sheet counts on until the shop lists its own."""
    return tuple(
        Dispenser(
            name=row["name"],
            kind=DispenserKind(row["kind"]),
            graduation_ml=float(row["graduation_ml"]),
            error_ml=float(row["error_ml"]),
            capacity_ml=float(row["capacity_ml"]),
        )
        for row in table("dispensers")
    )


def _on_curve(temp_c: float, points: tuple[CurvePoint, ...]) -> float:
    if temp_c <= points[0].temp_c:
        return points[0].amount
    for left, right in zip(points, points[1:], strict=False):
        if temp_c <= right.temp_c:
            share = (temp_c - left.temp_c) / (right.temp_c - left.temp_c)
            return left.amount + share * (right.amount - left.amount)
    return points[-1].amount


def _recipe(row: Row) -> RecipeSpec:
    def number(name: str) -> float:
        return float(row[name])

    return RecipeSpec(
        key=row["key"],
        kind=SolutionKind(row["kind"]),
        name=row["name"],
        reference_ml=number("reference_ml"),
        vv_pct=number("vv_pct"),
        soap_ml=number("soap_ml"),
        soap_curve=curve_from_text(row["soap_curve"]),
        strength_curve=curve_from_text(row["strength_curve"]),
        use_low_ml_per_m2=number("use_low_ml_per_m2"),
        use_high_ml_per_m2=number("use_high_ml_per_m2"),
        reserve_share=number("reserve_share"),
        strength_tolerance_pct=number("strength_tolerance_pct"),
        soap_tolerance_pct=number("soap_tolerance_pct"),
        saying=Saying(
            stock_ml=number("said_stock_ml"),
            stock_vv_pct=number("said_stock_vv_pct"),
            water_ml=number("said_water_ml"),
            bottle_fl_oz=number("said_bottle_fl_oz"),
            stock_fl_oz=number("said_stock_fl_oz"),
            water_fl_oz=number("said_water_fl_oz"),
            drops=int(row["said_drops"]),
        ),
        source=row["source"],
    )


def _wrong_with(recipe: RecipeSpec) -> list[str]:
    wrong = []
    if not 0 < recipe.reference_ml < math.inf:
        wrong.append("Give the reference bottle a volume above zero.")
    if recipe.has_alcohol and not 0 < recipe.vv_pct <= 100:
        wrong.append("Give the finished strength, above 0 and up to 100 % by volume.")
    if not recipe.has_alcohol and recipe.vv_pct:
        wrong.append(f"{recipe.name} holds no alcohol: leave its strength at zero.")
    if recipe.has_soap and not 0 < recipe.soap_ml < recipe.reference_ml:
        wrong.append(
            "Give the soap for one bottle, above zero and less than the bottle."
        )
    if not recipe.has_soap and (recipe.soap_ml or recipe.soap_curve):
        wrong.append(f"{recipe.name} holds no soap: it would ruin the vessel.")
    if not 0 < recipe.use_low_ml_per_m2 <= recipe.use_high_ml_per_m2 < math.inf:
        wrong.append("Give the use per m² from low to high, both above zero.")
    if not RESERVE_PCT.holds(recipe.reserve_share * 100):
        wrong.append("The reserve must be from 0 to 5 times the use.")
    if min(recipe.strength_tolerance_pct, recipe.soap_tolerance_pct) <= 0:
        wrong.append("Tolerances must be above zero.")
    wrong += _wrong_with_curve(recipe.soap_curve, high=recipe.reference_ml / 2)
    wrong += _wrong_with_curve(recipe.strength_curve, high=100)
    return wrong


def _wrong_with_curve(points: tuple[CurvePoint, ...], *, high: float) -> list[str]:
    temps = [point.temp_c for point in points]
    if any(not b > a for a, b in zip(temps, temps[1:], strict=False)):
        return ["Put the points of the curve in order, each warmer than the last."]
    if any(not CURVE_C.holds(temp) for temp in temps):
        return [
            f"The temperatures of a curve must be from {CURVE_C.low:g} to "
            f"{CURVE_C.high:g} °C."
        ]
    if any(not 0 < point.amount <= high for point in points):
        return [f"The amounts of this curve must be above 0 and up to {high:g}."]
    return []


def _plain(number: float) -> str:
    return str(int(number)) if number == int(number) else repr(number)
