"""Does a result leave its tolerance, and which dispenser would do (pure)."""

from __future__ import annotations

from mixing.dispensers.dosing import Dispenser, Substance, coarsest_graduation_ml, dose
from mixing.sheet.balance import (
    range_end,
    soap_ml_per_l,
    strength_vv_pct,
)
from mixing.sheet.bench import Bench, CannotPourError
from mixing.sheet.inside import ends_of, inside_of, ranged, soap_dose, volume_of
from mixing.sheet.parts import Pour
from mixing.sheet.pours import Mix, pours_of
from shopapp.figures import Figure, computed, given
from shopapp.say import Say, say


def outside_tolerance(
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
    low, high = ends_of(figure)
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
    low, high = ends_of(result)
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
        low, high = ends_of(pour.amount)
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
            made = ranged(strength_vv_pct, "vv_pct", inside)
        else:
            made = soap_dose(inside, volume_of(inside))
        if not _leaves(made, wanted.value, tolerance):
            return each
    return None


def _width(dispenser: Dispenser | None, pour: Pour) -> float:
    """How wide a pour's range is, or would be with another dispenser."""
    if dispenser is None:
        low, high = ends_of(pour.amount)
        return high - low
    made = dose(target_ml=pour.target.value, dispenser=dispenser, tolerance_pct=100)
    return made.high_ml - made.low_ml
