"""What stands mixed of one solution, all its batches together (pure)."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType

from mixing.dispensers.dosing import Substance, readable_ml
from mixing.recipes.spec import RecipeSpec, curve_text, soap_from_curve_ml
from mixing.sheet.balance import soap_for_ml
from mixing.sheet.parts import SolutionSheet, VesselFill
from mixing.sheet.totals import batch_total, drawn
from shopapp.figures import Figure, computed, formula, given
from shopapp.say import Say, say

SYRINGE_MARK_ML = 0.2
WORTH_SAYING = 0.02
"""Share of the need that vessels may lack before a word is said: the need is an
estimate with a reserve in it. Common practice, no published source."""

TOO_LITTLE = (
    "These vessels hold {volume} of the {needed} needed: mix again when they run low."
)


def capacity_says(*, volume_ml: float, needed_ml: float) -> tuple[Say, ...]:
    """Said where the vessels hold clearly less than the film needs."""
    if volume_ml >= needed_ml * (1 - WORTH_SAYING):
        return ()
    return (
        say(
            TOO_LITTLE,
            volume=given(volume_ml, "ml", "vessels filled"),
            needed=given(round(needed_ml, 1), "ml", "needed for the film area"),
        ),
    )


def together(
    batches: Sequence[SolutionSheet], *, planned: SolutionSheet, recipe: RecipeSpec
) -> SolutionSheet:
    """Several mixings of one solution as one: all their vessels count.

    batches  as they were poured, oldest first; at least one
    planned  the same solution as the sheet has it
    """
    needed = planned.needed
    fills = tuple(fill for each in batches for fill in each.fills)
    said = dict.fromkeys(
        sentence
        for each in batches
        for sentence in each.warnings
        if sentence.text != TOO_LITTLE
    )
    total = batch_total(fills)
    return replace(
        batches[-1],
        needed=needed,
        fills=fills,
        batch=total,
        draws=drawn(fills),
        warnings=(
            *capacity_says(volume_ml=total.value, needed_ml=needed.value),
            *_unlike_the_plan(fills, planned, recipe),
            *said,
        ),
    )


def _unlike_the_plan(
    fills: Sequence[VesselFill], planned: SolutionSheet, recipe: RecipeSpec
) -> Iterator[Say]:
    """Both values where a bottle holds another mix than the sheet plans."""
    plan = next((fill for fill in planned.fills if fill.strength), None)
    wanted = plan.strength if plan else None
    if wanted is None and recipe.has_alcohol:
        wanted = given(recipe.vv_pct, "vv_pct", f"recipe {recipe.key}")
    for fill in fills:
        if wanted is None or fill.strength is None:
            continue
        off = abs(fill.strength.value - wanted.value) / wanted.value
        if off > recipe.strength_tolerance_pct / 100:
            yield say(
                "The sheet plans {planned}; in {codes} is {real}. The bottle counts, "
                "for safety too.",
                planned=wanted,
                codes=", ".join(fill.codes),
                real=fill.strength,
            )


@formula("standing.soap_lacking_ml")
def soap_lacking_ml(
    *, wanted_ml: float, dose_ml_per_l: float, volume_ml: float
) -> float:
    """Soap to add to a bottle that stands there; below 0 it holds more than asked.

        add = wanted - dose * volume / 1000

    wanted_ml      soap that such a volume is asked to hold now, mL, 0 or more
    dose_ml_per_l  soap that stands in it, mL/L, 0 or more
    volume_ml      what stands in it, mL, above 0

    Source:        definition.

    >>> round(soap_lacking_ml(wanted_ml=3.6, dose_ml_per_l=2.1, volume_ml=952), 1)
    1.6
    """
    return wanted_ml - dose_ml_per_l * volume_ml / 1000


@formula("standing.soap_held_ml")
def soap_held_ml(*, dose_ml_per_l: float, volume_ml: float) -> float:
    """Soap that stands in a bottle.

        soap = dose * volume / 1000

    dose_ml_per_l  soap that stands in it, mL/L, 0 or more
    volume_ml      what stands in it, mL, above 0

    Source:        definition.

    >>> round(soap_held_ml(dose_ml_per_l=5.24, volume_ml=955), 1)
    5.0
    """
    return dose_ml_per_l * volume_ml / 1000


def soap_to_add(
    batches: Sequence[SolutionSheet],
    *,
    recipe: RecipeSpec,
    warmer: Figure | None,
    held: Collection[str],
    filled_up: Mapping[str, Sequence[tuple[float, float]]] = MappingProxyType({}),
) -> tuple[Say, ...]:
    """What to add to the bottles that stand, where it has become warmer since.

    warmer     the warmer of panel and air now, °C
    held       codes of the vessels that still hold something
    filled_up  those with more than one batch in them: dose in mL/L and mL of each
    """
    if not recipe.soap_curve or warmer is None:
        return ()
    asked = computed(
        soap_from_curve_ml,
        "dose_ml",
        warmer_c=warmer,
        curve=curve_text(recipe.soap_curve),
    )
    fills = [fill for each in batches for fill in each.fills]
    return tuple(
        sentence
        for bottle in _bottles(fills, held=held, filled_up=filled_up)
        for sentence in _to_add(bottle, asked, recipe)
    )


@dataclass(frozen=True, kw_only=True)
class _Bottle:
    """Bottles that hold the same: soap in mL/L, volume, step of the dispenser."""

    codes: tuple[str, ...]
    soap: Figure
    volume: Figure
    step_ml: float


def _bottles(
    fills: Sequence[VesselFill],
    *,
    held: Collection[str],
    filled_up: Mapping[str, Sequence[tuple[float, float]]],
) -> Iterator[_Bottle]:
    """Each bottle that stands once, by all that is in it."""
    steps: dict[str, float] = {}
    for fill in fills:
        steps |= dict.fromkeys(fill.codes, _mark_ml(fill))
        codes = tuple(c for c in fill.codes if c in held and c not in filled_up)
        if codes and fill.soap is not None and fill.mixed is not None:
            yield _Bottle(
                codes=codes,
                soap=fill.soap,
                volume=fill.mixed,
                step_ml=_mark_ml(fill),
            )
    for code, parts in filled_up.items():
        if code not in held or code not in steps:
            continue
        volume_ml = sum(ml for _, ml in parts)
        dose = sum(dose * ml for dose, ml in parts) / volume_ml
        yield _Bottle(
            codes=(code,),
            soap=given(dose, "ml_per_l", "rest and what was poured over it, together"),
            volume=given(volume_ml, "ml", "rest and what was poured over it, together"),
            step_ml=steps[code],
        )


def _to_add(bottle: _Bottle, asked: Figure, recipe: RecipeSpec) -> Iterator[Say]:
    reference = given(recipe.reference_ml, "ml", f"recipe {recipe.key}")
    wanted = computed(
        soap_for_ml,
        "dose_ml",
        soap_ml=asked,
        volume_ml=bottle.volume,
        reference_ml=reference,
    )
    stands = {"dose_ml_per_l": bottle.soap, "volume_ml": bottle.volume}
    lacking = computed(soap_lacking_ml, "dose_ml", wanted_ml=wanted, **stands)
    if abs(lacking.value) < bottle.step_ml / 2:
        return
    marks = given(bottle.step_ml, "dose_ml", "marks of the syringe")
    codes, alone = ", ".join(bottle.codes), len(bottle.codes) == 1
    if lacking.value < 0:
        yield say(
            "{codes}: {held} of baby shampoo in it, and {wanted} is asked for now. "
            "Nothing to add."
            if alone
            else "{codes}: {held} of baby shampoo in each, and {wanted} is asked for "
            "now. Nothing to add.",
            codes=codes,
            held=computed(soap_held_ml, "dose_ml", **stands),
            wanted=computed(
                readable_ml, "dose_ml", target_ml=wanted, graduation_ml=marks
            ),
        )
        return
    yield say(
        "Add {amount} of baby shampoo to {codes} while it is full, less where less is "
        "left."
        if alone
        else "Add {amount} of baby shampoo to each of {codes} while it is full, less "
        "where less is left.",
        amount=computed(readable_ml, "dose_ml", target_ml=lacking, graduation_ml=marks),
        codes=codes,
    )


def _mark_ml(fill: VesselFill) -> float:
    """The step of the dispenser that its soap was measured with."""
    marks = (p.graduation for p in fill.pours if p.substance is Substance.SOAP)
    return next((mark.value for mark in marks if mark is not None), SYRINGE_MARK_ML)
