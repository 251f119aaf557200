"""What really stands in a vessel after its pours, and how sure that is (pure).

Ranges come from the corners: strength rises with alcohol and falls with water, volume
rises with both, so the ends of the pours give the ends of the result.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from itertools import product

from mixing.balance import (
    contraction_ml,
    difference,
    mixed_ml,
    soap_ml_per_l,
    strength_vv_pct,
    strength_ww_pct,
    water_to_mark_ml,
)
from mixing.bench import Bench, CannotPourError
from mixing.dosing import Dispenser, Substance, coarsest_graduation_ml
from mixing.parts import OtherWay, Pour, VesselFill, computed
from mixing.pours import Mix, joined_stock, pours_of
from mixing.recipes import FillMode, SolutionKind
from shopapp.figures import Figure, given
from shopapp.say import Say, say

NOTHING = given(0.0, "ml", "none poured")


@dataclass(frozen=True, kw_only=True)
class Inside:
    """What was poured, as the formulas take it: each with its two ends in mL."""

    stock: Figure
    stock_vv: Figure
    water: Figure
    soap: Figure
    has_alcohol: bool
    has_soap: bool
    volume_limits: tuple[float, float] | None = None
    """Where a mark holds the volume, whatever was poured below it."""

    @property
    def inputs(self) -> dict[str, Figure]:
        """Inputs of the formulas of `mixing.balance`."""
        return {
            "stock_ml": self.stock,
            "stock_vv_pct": self.stock_vv,
            "water_ml": self.water,
            "soap_ml": self.soap,
        }


def fill_of(
    mix: Mix, bench: Bench, *, codes: tuple[str, ...], count: int
) -> VesselFill:
    """The vessels filled alike by one mix, with result and warnings.

    Raises CannotPourError when the vessel cannot be mixed.
    """
    pours = pours_of(mix, bench)
    if mix.recipe.kind is SolutionKind.GEL:
        return _gel_fill(mix, pours, codes=codes, count=count)
    inside = inside_of(mix, pours)
    fill = VesselFill(
        codes=codes,
        count=count,
        planned=mix.planned,
        pours=pours,
        mixed=_volume(inside),
        contraction=_only(inside, computed(contraction_ml, "ml", **inside.inputs)),
        strength=_only(inside, _ranged(strength_vv_pct, "vv_pct", inside)),
        strength_ww=_only(inside, _ranged(strength_ww_pct, "ww_pct", inside)),
        soap=_soap_dose(inside),
        other_way=None,
        warnings=(),
    )
    return replace(
        fill,
        other_way=_other_way(mix, inside, fill),
        warnings=_outside_tolerance(mix, bench, fill),
    )


def inside_of(mix: Mix, pours: Sequence[Pour]) -> Inside:
    """What the pours of a vessel bring in, in the words of the mass balance."""
    stock = [pour for pour in pours if pour.substance is Substance.ALCOHOL]
    joined = joined_stock(stock)
    soap = _poured(pours, Substance.SOAP)
    water = _poured(pours, Substance.WATER)
    if joined is None:
        alcohol, vv = NOTHING, given(0.0, "vv_pct", "no alcohol")
    else:
        alcohol, vv = _with_ends(stock, joined)
    limits = None
    if mix.mode is FillMode.MARK and joined is not None:
        (low, high), (least, most) = _ends(water), _ends(soap)
        limits = (low + least, high + most)
        water = _water_under_the_mark(mix, alcohol, vv, water)
    return Inside(
        stock=alcohol,
        stock_vv=vv,
        water=water,
        soap=soap,
        has_alcohol=joined is not None,
        has_soap=mix.soap is not None,
        volume_limits=limits,
    )


def _poured(pours: Sequence[Pour], substance: Substance) -> Figure:
    return next((pour.amount for pour in pours if pour.substance is substance), NOTHING)


def _with_ends(
    stock: Sequence[Pour], joined: tuple[Figure, Figure]
) -> tuple[Figure, Figure]:
    """Joined volume and strength of the alcohol, with their ends."""
    low, high = joined_stock(stock, end="low"), joined_stock(stock, end="high")
    assert low is not None
    assert high is not None
    volume = replace(joined[0], low=low[0].value, high=high[0].value)
    if len(stock) == 1:
        return volume, joined[1]
    # With two strengths the mean moves between the ends of both containers.
    ends = [end for p in stock for end in _ends(p.strength or NOTHING)]
    return volume, replace(joined[1], low=min(ends), high=max(ends))


def _water_under_the_mark(mix: Mix, stock: Figure, vv: Figure, mark: Figure) -> Figure:
    """Water that the mark stands for: least with most alcohol and a low mark."""
    planned = mix.planned.value
    most_stock, least_stock = _ends(stock)[1], _ends(stock)[0]
    ends = []
    for stock_ml, volume_ml in (
        (min(most_stock, _ends(mark)[0]), _ends(mark)[0]),
        (least_stock, _ends(mark)[1]),
    ):
        ends += [
            water_to_mark_ml(stock_ml=stock_ml, stock_vv_pct=pct, volume_ml=volume_ml)
            for pct in _ends(vv)
        ]
    return computed(
        water_to_mark_ml,
        "ml",
        (min(ends), max(ends)),
        stock_ml=stock,
        stock_vv_pct=vv,
        volume_ml=given(planned, "ml", "the mark"),
    )


def _ranged(made_by: Callable[..., float], unit: str, inside: Inside) -> Figure:
    """A result with its range over all corners of its inputs."""
    names = list(inside.inputs)
    corners = product(*(sorted(set(_ends(f))) for f in inside.inputs.values()))
    values = [made_by(**dict(zip(names, at, strict=True))) for at in corners]
    return computed(made_by, unit, (min(values), max(values)), **inside.inputs)


def _volume(inside: Inside) -> Figure:
    if inside.volume_limits is None:
        return _ranged(mixed_ml, "ml", inside)
    return computed(mixed_ml, "ml", inside.volume_limits, **inside.inputs)


def _soap_dose(inside: Inside) -> Figure | None:
    if not inside.has_soap:
        return None
    volume = _volume(inside)
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


def _only(inside: Inside, figure: Figure) -> Figure | None:
    return figure if inside.has_alcohol else None


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


def _other_way(mix: Mix, inside: Inside, fill: VesselFill) -> OtherWay | None:
    """The same alcohol, and the water put in the other way.

    Measured: against filling to the mark. To the mark: against measuring "the rest",
    volume less alcohol and soap, as people do who think that volumes add.
    """
    if fill.strength is None or fill.mixed is None:
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
        volume_difference=computed(difference, "ml", this=fill.mixed, other=volume),
        strength=strength,
        strength_difference=computed(
            difference, "vv_pct", this=fill.strength, other=strength
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


def _outside_tolerance(mix: Mix, bench: Bench, fill: VesselFill) -> tuple[Say, ...]:
    """A warning for strength and for soap, with the dispenser that would do."""
    recipe = mix.recipe
    warnings = []
    if fill.strength is not None and mix.strength is not None:
        tolerance = recipe.strength_tolerance_pct
        wanted = mix.strength.value
        if _leaves(fill.strength, wanted, tolerance):
            warnings.append(_warning("strength", mix, bench, fill))
    if fill.soap is not None and mix.soap is not None:
        wanted = 1000 * mix.soap.value / recipe.reference_ml
        if _leaves(fill.soap, wanted, recipe.soap_tolerance_pct):
            warnings.append(_warning("soap", mix, bench, fill))
    return tuple(warnings)


def _leaves(figure: Figure, wanted: float, tolerance_pct: float) -> bool:
    low, high = _ends(figure)
    return max(wanted - low, high - wanted) > wanted * tolerance_pct / 100 + 1e-9


_WARNING = {
    ("strength", True): "The strength may be anywhere from {low} to {high}, more than "
    "{tolerance} % off the {wanted} wanted. Measure the {substance} with the {other}.",
    ("strength", False): "The strength may be anywhere from {low} to {high}, more than "
    "{tolerance} % off the {wanted} wanted. Measure the {substance} with marks of "
    "{graduation} or finer, or mix a larger volume.",
    ("soap", True): "The soap may be anywhere from {low} to {high}, more than "
    "{tolerance} % off the {wanted} wanted. Measure the {substance} with the {other}.",
    ("soap", False): "The soap may be anywhere from {low} to {high}, more than "
    "{tolerance} % off the {wanted} wanted. Measure the {substance} with marks of "
    "{graduation} or finer, or mix a larger volume.",
}


def _warning(what: str, mix: Mix, bench: Bench, fill: VesselFill) -> Say:
    if what == "strength":
        result, wanted = fill.strength, mix.strength
        tolerance = mix.recipe.strength_tolerance_pct
    else:
        result, tolerance = fill.soap, mix.recipe.soap_tolerance_pct
        reference = given(mix.recipe.reference_ml, "ml", f"recipe {mix.recipe.key}")
        assert mix.soap is not None
        wanted = computed(
            soap_ml_per_l, "ml_per_l", soap_ml=mix.soap, volume_ml=reference
        )
    assert result is not None
    assert wanted is not None
    coarse = _coarsest_pour(fill, what)
    other = _would_do(what, mix, bench, coarse, wanted.value)
    low, high = _ends(result)
    return say(
        _WARNING[what, other is not None],
        low=replace(result, value=low, low=None, high=None),
        high=replace(result, value=high, low=None, high=None),
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


def _coarsest_pour(fill: VesselFill, what: str) -> Pour:
    """The pour that blurs the result most."""
    about = {Substance.WATER, Substance.ALCOHOL}
    if what == "soap":
        about = {Substance.WATER, Substance.SOAP}
    pours = [p for p in fill.pours if p.substance in about and not p.to_mark]

    def blur(pour: Pour) -> float:
        low, high = _ends(pour.amount)
        wanted = pour.target.value
        return max(wanted - low, high - wanted) / wanted if wanted else 0.0

    return max(pours or list(fill.pours), key=blur)


def _would_do(
    what: str, mix: Mix, bench: Bench, pour: Pour, wanted: float
) -> Dispenser | None:
    """A dispenser of the shop with which the same vessel stays within tolerance."""
    recipe = mix.recipe
    strong = what == "strength"
    tolerance = recipe.strength_tolerance_pct if strong else recipe.soap_tolerance_pct
    for each in bench.dispensers:
        if each.name == pour.dispenser or not each.measures:
            continue
        if not each.takes(pour.substance):
            continue
        try:
            pours = pours_of(mix, bench.wanting(pour.substance, each.name))
        except CannotPourError:
            continue
        inside = inside_of(mix, pours)
        made = _ranged(strength_vv_pct, "vv_pct", inside) if strong else None
        made = made or _soap_dose(inside)
        if made is not None and not _leaves(made, wanted, tolerance):
            return each
    return None
