"""The result of one vessel's pours, and of the other way to fill it (pure)."""

from __future__ import annotations

from mixing.recipes.spec import FillMode, SolutionKind
from mixing.sheet.balance import (
    contraction_ml,
    difference,
    mixed_ml,
    strength_vv_pct,
    strength_ww_pct,
    water_to_mark_ml,
)
from mixing.sheet.bench import Bench
from mixing.sheet.inside import Inside, inside_of, ranged, soap_dose, volume_of
from mixing.sheet.parts import OtherWay, Pour, VesselFill
from mixing.sheet.pours import Mix
from mixing.sheet.tolerance import outside_tolerance
from shopapp.figures import Figure, computed
from shopapp.say import say


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
    volume = volume_of(inside)
    strength = soap = by_mass = contraction = None
    if inside.has_alcohol:
        strength = ranged(strength_vv_pct, "vv_pct", inside)
        by_mass = ranged(strength_ww_pct, "ww_pct", inside)
        contraction = computed(contraction_ml, "ml", **inside.inputs)
    if inside.has_soap:
        soap = soap_dose(inside, volume)
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
        warnings=outside_tolerance(mix, bench, pours, strength, soap),
    )


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
