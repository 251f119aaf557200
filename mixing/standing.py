"""What stands mixed of one solution, all its batches together (pure)."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import replace

from mixing.balance import soap_for_ml
from mixing.dosing import Substance, readable_ml
from mixing.parts import SolutionSheet, VesselFill, computed
from mixing.recipes import RecipeSpec, curve_text, soap_from_curve_ml
from mixing.totals import batch_total, drawn
from shopapp.figures import Figure, given
from shopapp.say import Say, say

SYRINGE_MARK_ML = 0.2

TOO_LITTLE = (
    "These vessels hold {volume} of the {needed} needed: mix again when they run low."
)


def capacity_says(*, volume_ml: float, needed_ml: float) -> tuple[Say, ...]:
    """Said where the vessels do not hold what the film needs."""
    if volume_ml >= needed_ml - 1e-9:
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


def soap_lacking_ml(
    *, wanted_ml: float, dose_ml_per_l: float, volume_ml: float
) -> float:
    """Soap to add to a bottle that stands there; below 0 it holds more than asked.

        add = wanted - dose * volume / 1000

    wanted_ml      soap that such a volume is asked to hold now, mL, 0 or more
    dose_ml_per_l  soap that stands in it, mL/L, 0 or more
    volume_ml      what stands in it, mL, above 0

    Not for:       a bottle that was filled up over another mix.
    Source:        definition.

    >>> round(soap_lacking_ml(wanted_ml=3.6, dose_ml_per_l=2.1, volume_ml=952), 1)
    1.6
    """
    return wanted_ml - dose_ml_per_l * volume_ml / 1000


def soap_to_add(
    batches: Sequence[SolutionSheet],
    *,
    recipe: RecipeSpec,
    warmer: Figure | None,
    held: Collection[str],
) -> tuple[Say, ...]:
    """What to add to the bottles that stand, where it has become warmer since.

    warmer  the warmer of panel and air now, °C
    held    codes of the vessels that still hold something
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
        sentence for fill in fills for sentence in _to_add(fill, asked, recipe, held)
    )


def _to_add(
    fill: VesselFill, asked: Figure, recipe: RecipeSpec, held: Collection[str]
) -> Iterator[Say]:
    codes = [code for code in fill.codes if code in held]
    if not codes or fill.soap is None or fill.mixed is None:
        return
    wanted = computed(
        soap_for_ml,
        "dose_ml",
        soap_ml=asked,
        volume_ml=fill.mixed,
        reference_ml=given(recipe.reference_ml, "ml", f"recipe {recipe.key}"),
    )
    lacking = computed(
        soap_lacking_ml,
        "dose_ml",
        wanted_ml=wanted,
        dose_ml_per_l=fill.soap,
        volume_ml=fill.mixed,
    )
    step = _mark_ml(fill)
    if abs(lacking.value) < step / 2:
        return
    if lacking.value < 0:
        yield say(
            "{codes}: more soap stands in it than is asked for now ({wanted}). "
            "Nothing to add.",
            codes=", ".join(codes),
            wanted=wanted,
        )
        return
    amount = computed(
        readable_ml,
        "dose_ml",
        target_ml=lacking,
        graduation_ml=given(step, "dose_ml", "marks of the syringe"),
    )
    text = (
        "Add {amount} of baby shampoo to {codes} while it is full, less where less is "
        "left."
        if len(codes) == 1
        else "Add {amount} of baby shampoo to each of {codes} while it is full, less "
        "where less is left."
    )
    yield say(text, amount=amount, codes=", ".join(codes))


def _mark_ml(fill: VesselFill) -> float:
    """The step of the dispenser that its soap was measured with."""
    marks = (p.graduation for p in fill.pours if p.substance is Substance.SOAP)
    return next((mark.value for mark in marks if mark is not None), SYRINGE_MARK_ML)
