"""How much is needed, and which vessels are filled how far (pure)."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from mixing.recipes.spec import FillMode, RecipeSpec, SolutionKind
from mixing.sheet.request import SheetRequest, UseRate, Vessel
from shopapp.figures import Figure, computed, formula, given

WHOLE_BOTTLE = 1.1
"""A vessel of up to this many reference bottles is filled whole."""

STEP_ML = 100.0
"""A larger vessel is filled by whole steps of this, as far as it is needed."""

GEL_STEP_ML = 50.0


@dataclass(frozen=True, kw_only=True)
class VesselPlan:
    """One vessel to fill; code "" is a reference bottle the shop has not listed."""

    code: str
    volume_ml: float
    mark_error_ml: float


@formula("fill.needed_ml")
def needed_ml(
    *, film_area_m2: float, use_ml_per_m2: float, reserve_share: float
) -> float:
    """Solution to have ready for a film area.

        needed = area * use * (1 + reserve)

    film_area_m2   film laid, m2, above 0
    use_ml_per_m2  use of this solution, mL per m2 of film, above 0
    reserve_share  held in reserve, as a share of the use, 0 or more

    Not for:       a vessel that the job needs at all: one of each kind is filled.
    Source:        common practice, no published source (a third in reserve); the
                   shop's own use replaces it as records come in.

    >>> needed_ml(film_area_m2=6, use_ml_per_m2=400, reserve_share=0.25)
    3000.0
    """
    return film_area_m2 * use_ml_per_m2 * (1 + reserve_share)


@formula("fill.middle_use_ml_per_m2")
def middle_use_ml_per_m2(*, low_ml_per_m2: float, high_ml_per_m2: float) -> float:
    """Use to start from until the shop has records.

        use = (low + high) / 2

    low_ml_per_m2, high_ml_per_m2  mL per m2 of film, above 0

    Not for:  a shop with its own records.
    Source:   common practice, no published source; the middle is our choice.

    >>> middle_use_ml_per_m2(low_ml_per_m2=350, high_ml_per_m2=500)
    425.0
    """
    return (low_ml_per_m2 + high_ml_per_m2) / 2


@formula("fill.total_ml")
def total_ml(*, each_ml: float, vessels: int, others_ml: float = 0.0) -> float:
    """Volume of one mixing over all its vessels.

        total = each * vessels + others

    each_ml    planned in each of the vessels filled alike, mL
    vessels    how many of them
    others_ml  planned in the other vessels, mL

    Not for:   the volume after contraction, which each fill shows.
    Source:    definition.

    >>> total_ml(each_ml=950, vessels=4)
    3800.0
    """
    return each_ml * vessels + others_ml


def use_figure(recipe: RecipeSpec, rates: Sequence[UseRate]) -> Figure:
    """The shop's own use of a solution, else the recipe's."""
    for rate in rates:
        if rate.kind is recipe.kind and rate.learned is not None:
            return rate.learned
        if rate.kind is recipe.kind:
            return given(
                rate.ml_per_m2,
                "ml_per_m2",
                rate.note,
                low=rate.low_ml_per_m2,
                high=rate.high_ml_per_m2,
            )
    return default_use(recipe)


def default_use(recipe: RecipeSpec) -> Figure:
    """The recipe's use, as a new shop starts with it."""
    low, high = recipe.use_low_ml_per_m2, recipe.use_high_ml_per_m2
    return computed(
        middle_use_ml_per_m2,
        "ml_per_m2",
        (low, high),
        low_ml_per_m2=given(low, "ml_per_m2", recipe.source),
        high_ml_per_m2=given(high, "ml_per_m2", recipe.source),
    )


def needed_figure(recipe: RecipeSpec, *, area: Figure, use: Figure) -> Figure:
    """What to have ready, with the range of the use."""
    reserve = recipe.reserve_share
    low = use.value if use.low is None else use.low
    high = use.value if use.high is None else use.high

    def at(rate: float) -> float:
        return needed_ml(
            film_area_m2=area.value, use_ml_per_m2=rate, reserve_share=reserve
        )

    return computed(
        needed_ml,
        "ml",
        (at(low), at(high)),
        film_area_m2=area,
        use_ml_per_m2=use,
        reserve_share=given(reserve, "", f"recipe {recipe.key}"),
    )


def plan_vessels(
    recipe: RecipeSpec, *, needed: float, request: SheetRequest
) -> tuple[VesselPlan, ...]:
    """The vessels to fill: as few as cover the need, never less than one.

    A vessel that alone covers the rest is taken, the smallest such; else the largest.
    Vessels the person chose are all filled, to the line.
    """
    vessels = [each for each in request.vessels if each.kind is recipe.kind]
    if not vessels:
        return _reference_bottles(recipe, needed)
    if request.vessels_chosen:
        return tuple(_plan(each, each.fill_ml) for each in vessels)
    left = sorted(vessels, key=lambda each: (each.fill_ml, each.code))
    plans: list[VesselPlan] = []
    rest = needed
    while rest > 0 and left:
        chosen = next((each for each in left if each.fill_ml >= rest), None)
        if chosen is None:
            largest = left[-1].fill_ml
            chosen = next(each for each in left if each.fill_ml == largest)
        left.remove(chosen)
        plans.append(_plan(chosen, _volume(recipe, chosen, rest, request.fill_mode)))
        rest -= plans[-1].volume_ml
    return tuple(plans)


def _volume(recipe: RecipeSpec, vessel: Vessel, rest: float, mode: FillMode) -> float:
    most = vessel.fill_ml
    if recipe.kind is SolutionKind.GEL:
        return min(most, math.ceil(rest / GEL_STEP_ML) * GEL_STEP_ML)
    if most <= recipe.reference_ml * WHOLE_BOTTLE:
        return most
    if mode is FillMode.MARK:
        marks = (mark for mark in sorted(vessel.marks_ml) if rest <= mark <= most)
        return next(marks, most)
    return min(most, math.ceil(rest / STEP_ML) * STEP_ML)


def _reference_bottles(recipe: RecipeSpec, needed: float) -> tuple[VesselPlan, ...]:
    if recipe.kind is SolutionKind.GEL:
        volume = math.ceil(needed / GEL_STEP_ML) * GEL_STEP_ML
        return (VesselPlan(code="", volume_ml=volume, mark_error_ml=10.0),)
    count = max(1, math.ceil(needed / recipe.reference_ml - 1e-9))
    bottle = VesselPlan(code="", volume_ml=recipe.reference_ml, mark_error_ml=10.0)
    return (bottle,) * count


def _plan(vessel: Vessel, volume_ml: float) -> VesselPlan:
    return VesselPlan(
        code=vessel.code, volume_ml=volume_ml, mark_error_ml=vessel.mark_error_ml
    )
