"""What really stands in a vessel after its pours, and how sure that is (pure).

Ranges come from the corners: strength rises with alcohol and falls with water, volume
rises with both, so the ends of the pours give the ends of the result.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from mixing.balance import (
    contraction_ml,
    difference,
    joined_ml,
    joined_vv_pct,
    mixed_ml,
    range_end,
    soap_ml_per_l,
    strength_vv_pct,
    strength_ww_pct,
    water_to_mark_ml,
)
from mixing.bench import Bench, CannotPourError
from mixing.dosing import Dispenser, Substance, coarsest_graduation_ml, dose
from mixing.parts import OtherWay, Pour, VesselFill, computed
from mixing.pours import Mix, joined_stock, pours_of
from mixing.recipes import FillMode, SolutionKind
from shopapp.figures import Figure, given
from shopapp.say import Say, say

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
        water, soap = _ends(self.water), _ends(self.soap)
        values = [
            made_by(stock_ml=ml, stock_vv_pct=vv, water_ml=water[i], soap_ml=soap[i])
            for ml, vv in self.stock_ends
            for i in (0, 1)
        ]
        return min(values), max(values)


def fill_of(
    mix: Mix,
    pours: tuple[Pour, ...],
    bench: Bench,
    *,
    codes: tuple[str, ...],
    count: int,
) -> VesselFill:
    """The vessels filled alike by these pours, with result and warnings."""
    if mix.recipe.kind is SolutionKind.GEL:
        return _gel_fill(mix, pours, codes=codes, count=count)
    inside = inside_of(mix, pours)
    volume = _volume(inside)
    strength = soap = by_mass = contraction = None
    if inside.has_alcohol:
        strength = _ranged(strength_vv_pct, "vv_pct", inside)
        by_mass = _ranged(strength_ww_pct, "ww_pct", inside)
        contraction = computed(contraction_ml, "ml", **inside.inputs)
    if inside.has_soap:
        soap = _soap_dose(inside, volume)
    return VesselFill(
        codes=codes,
        count=count,
        planned=mix.planned,
        pours=pours,
        mixed=volume,
        contraction=contraction,
        strength=strength,
        strength_ww=by_mass,
        soap=soap,
        other_way=_other_way(mix, inside, volume, strength),
        warnings=_outside_tolerance(mix, bench, pours, strength, soap),
    )


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
    (low, high), (least, most) = _ends(inside.water), _ends(inside.soap)
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
        ml, vv = _ends(pour.amount)[amount], _ends(pour.strength or NO_ALCOHOL)[label]
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
        for volume_ml in _ends(mark)
    ]
    return computed(
        water_to_mark_ml,
        "ml",
        (min(ends), max(ends)),
        stock_ml=stock.stock,
        stock_vv_pct=stock.stock_vv,
        volume_ml=planned,
    )


def _ranged(made_by: Callable[..., float], unit: str, inside: Inside) -> Figure:
    """A result with its range."""
    return computed(made_by, unit, inside.limits(made_by), **inside.inputs)


def _volume(inside: Inside) -> Figure:
    if inside.volume_limits is None:
        return _ranged(mixed_ml, "ml", inside)
    return computed(mixed_ml, "ml", inside.volume_limits, **inside.inputs)


def _soap_dose(inside: Inside, volume: Figure) -> Figure:
    (least, most), (small, large) = _ends(inside.soap), _ends(volume)
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


def _ends(figure: Figure) -> tuple[float, float]:
    low = figure.value if figure.low is None else figure.low
    return low, figure.value if figure.high is None else figure.high


def _gel_fill(
    mix: Mix, pours: tuple[Pour, ...], *, codes: tuple[str, ...], count: int
) -> VesselFill:
    return VesselFill(
        codes=codes,
        count=count,
        planned=mix.planned,
        pours=pours,
        mixed=None,
        contraction=None,
        strength=None,
        strength_ww=None,
        soap=None,
        other_way=None,
        warnings=(),
    )


def _other_way(
    mix: Mix, inside: Inside, mixed: Figure, mixed_vv: Figure | None
) -> OtherWay | None:
    """The same alcohol, and the water put in the other way.

    Measured: against filling to the mark. To the mark: against measuring "the rest",
    volume less alcohol and soap, as people do who think that volumes add.
    """
    if mixed_vv is None:
        return None
    planned = mix.planned
    if mix.mode is FillMode.MEASURED:
        mode = FillMode.MARK
        if inside.stock.value > planned.value:
            return None
        water = computed(
            water_to_mark_ml,
            "ml",
            stock_ml=inside.stock,
            stock_vv_pct=inside.stock_vv,
            volume_ml=planned,
        )
    else:
        mode = FillMode.MEASURED
        water = computed(difference, "ml", this=inside.stock, other=planned)
    inputs = {**inside.inputs, "water_ml": water}
    volume = computed(mixed_ml, "ml", **inputs)
    strength = computed(strength_vv_pct, "vv_pct", **inputs)
    return OtherWay(
        mode=mode,
        water=water,
        volume=volume,
        volume_difference=computed(difference, "ml", this=mixed, other=volume),
        strength=strength,
        strength_difference=computed(
            difference, "vv_pct", this=mixed_vv, other=strength
        ),
        sentence=say(_OTHER_WAY[mode], water=water, volume=volume, strength=strength),
    )


_OTHER_WAY = {
    FillMode.MARK: "This sheet measures the water. Filled to the mark instead, it "
    "would take {water}: {volume} in all, {strength}.",
    FillMode.MEASURED: "This sheet fills to the mark. Measuring only the rest of the "
    "volume ({water} of water) would give {volume} in all, {strength}: alcohol and "
    "water shrink on mixing.",
}


def _outside_tolerance(
    mix: Mix,
    bench: Bench,
    pours: tuple[Pour, ...],
    strength: Figure | None,
    soap: Figure | None,
) -> tuple[Say, ...]:
    """A warning for strength and for soap, with the dispenser that would do."""
    warnings = []
    for what, result in ((STRENGTH, strength), (SOAP, soap)):
        if result is None:
            continue
        wanted, tolerance = _wanted(what, mix)
        if _leaves(result, wanted.value, tolerance):
            warnings.append(_warning(what, mix, bench, pours, result))
    return tuple(warnings)


def _wanted(what: str, mix: Mix) -> tuple[Figure, float]:
    """The target of strength or of the soap dose, and its tolerance in %."""
    recipe = mix.recipe
    if what == STRENGTH:
        assert mix.strength is not None
        return mix.strength, recipe.strength_tolerance_pct
    assert mix.soap is not None
    bottle = given(recipe.reference_ml, "ml", f"recipe {recipe.key}")
    dose = computed(soap_ml_per_l, "ml_per_l", soap_ml=mix.soap, volume_ml=bottle)
    return dose, recipe.soap_tolerance_pct


def _leaves(figure: Figure, wanted: float, tolerance_pct: float) -> bool:
    low, high = _ends(figure)
    return max(wanted - low, high - wanted) > wanted * tolerance_pct / 100 + 1e-9


STRENGTH, SOAP = "strength", "soap"

_WARNING = {
    (STRENGTH, True): "The strength may be anywhere from {low} to {high}, more than "
    "{tolerance} % off the {wanted} wanted. Measure the {substance} with the {other}.",
    (STRENGTH, False): "The strength may be anywhere from {low} to {high}, more than "
    "{tolerance} % off the {wanted} wanted. Measure the {substance} with marks of "
    "{graduation} or finer, or mix a larger volume.",
    (SOAP, True): "The soap may be anywhere from {low} to {high}, more than "
    "{tolerance} % off the {wanted} wanted. Measure the {substance} with the {other}.",
    (SOAP, False): "The soap may be anywhere from {low} to {high}, more than "
    "{tolerance} % off the {wanted} wanted. Measure the {substance} with marks of "
    "{graduation} or finer, or mix a larger volume.",
}


def _warning(
    what: str, mix: Mix, bench: Bench, pours: tuple[Pour, ...], result: Figure
) -> Say:
    wanted, tolerance = _wanted(what, mix)
    coarse = _coarsest_pour(what, pours)
    other = _would_do(what, mix, bench, coarse)
    low, high = _ends(result)
    return say(
        _WARNING[what, other is not None],
        low=computed(range_end, result.unit, result=result, off=low - result.value),
        high=computed(range_end, result.unit, result=result, off=high - result.value),
        tolerance=f"{tolerance:g}",
        wanted=wanted,
        substance=coarse.substance.value,
        other="" if other is None else other.name,
        graduation=computed(
            coarsest_graduation_ml,
            "dose_ml",
            target_ml=coarse.target,
            tolerance_pct=tolerance / 2,
        ),
    )


def _coarsest_pour(what: str, pours: tuple[Pour, ...]) -> Pour:
    """The measured pour that blurs the result most."""
    about = (Substance.WATER, Substance.ALCOHOL if what == STRENGTH else Substance.SOAP)
    measured = [p for p in pours if p.substance in about and not p.to_mark]

    def blur(pour: Pour) -> float:
        low, high = _ends(pour.amount)
        wanted = pour.target.value
        return max(wanted - low, high - wanted) / wanted if wanted else 0.0

    return max(measured or list(pours), key=blur)


def _would_do(what: str, mix: Mix, bench: Bench, pour: Pour) -> Dispenser | None:
    """A dispenser of the shop with which the same vessel stays within tolerance."""
    wanted, tolerance = _wanted(what, mix)
    for each in bench.dispensers:
        if not (each.measures and each.takes(pour.substance)):
            continue
        if _width(each, pour) >= _width(None, pour):
            continue
        try:
            pours = pours_of(mix, bench.wanting(pour.substance, each))
        except CannotPourError:
            continue
        inside = inside_of(mix, pours)
        if what == STRENGTH:
            made = _ranged(strength_vv_pct, "vv_pct", inside)
        else:
            made = _soap_dose(inside, _volume(inside))
        if not _leaves(made, wanted.value, tolerance):
            return each
    return None


def _width(dispenser: Dispenser | None, pour: Pour) -> float:
    """How wide a pour's range is, or would be with another dispenser."""
    if dispenser is None:
        low, high = _ends(pour.amount)
        return high - low
    made = dose(target_ml=pour.target.value, dispenser=dispenser, tolerance_pct=100)
    return made.high_ml - made.low_ml
