"""A mixing as it was really poured: the sheet's result from the poured amounts (pure).

The planned amounts stand beside the poured ones; strength, soap and their ranges are
worked out anew from what went in.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from mixing.dispensers.dosing import Dispenser, Substance, counted_spread_ml, spread_ml
from mixing.recipes.spec import FillMode, SolutionKind, usual_dispensers
from mixing.sheet.advice import climate_of
from mixing.sheet.bench import Bench, bench_of
from mixing.sheet.correction import Aim
from mixing.sheet.course import begin
from mixing.sheet.course_says import made_figures
from mixing.sheet.fill import VesselPlan
from mixing.sheet.outcome import fill_of
from mixing.sheet.parts import MixingSheet, Pour, SolutionSheet, VesselFill
from mixing.sheet.planner import Planner, planner_of
from mixing.sheet.pours import Mix
from mixing.sheet.request import SheetRequest
from mixing.sheet.shelf import open_shelf
from mixing.sheet.totals import drawn
from shopapp.figures import Figure, given
from shopapp.say import Say, say

ROOM_ML = 0.5
"""A reading is not blamed for this much over the brim."""


def as_poured(
    sheet: MixingSheet, *, kind: SolutionKind, poured: Sequence[Sequence[float]]
) -> SolutionSheet:
    """One solution of a sheet with the amounts that were really poured, mL.

    poured  for each fill of the solution, its pours in order: mL into each vessel; for
            a pour to the mark, the mark that was met

    Raises ValueError when the amounts do not fit the sheet's pours or one of them
    cannot be.
    """
    planned = next(each for each in sheet.solutions if each.kind is kind)
    request = sheet.request
    planner = _planner(sheet, kind)
    bench, recipe = planner.bench, planner.recipe
    fills = tuple(
        _fill(
            fill,
            amounts,
            aim_of(sheet, kind=kind, fill=fill),
            bench,
            Mix(
                recipe=recipe,
                plan=_plan_of(fill, request),
                mode=planned.fill_mode,
                strength=planner.strength,
                soap=planner.soap,
                takings=(),
            ),
        )
        for fill, amounts in zip(planned.fills, poured, strict=True)
    )
    return replace(planned, fills=fills, draws=drawn(fills))


def _planner(sheet: MixingSheet, kind: SolutionKind) -> Planner:
    request = sheet.request
    recipe = next(each for each in request.recipes if each.kind is kind)
    bench = bench_of(
        request.dispensers or usual_dispensers(),
        wanted=((each.substance, each.dispenser) for each in request.preferred),
    )
    return planner_of(
        recipe,
        request,
        climate_of(request.conditions),
        bench,
        open_shelf(request.stock),
    )


def aim_of(sheet: MixingSheet, *, kind: SolutionKind, fill: VesselFill) -> Aim | None:
    """What a fill of a sheet is to hold, and how far off; None for gel.

    None too where the recipe was kept by a version that named its kind otherwise.
    """
    known = any(each.kind is kind for each in sheet.request.recipes)
    if kind is SolutionKind.GEL or not known:
        return None
    planner = _planner(sheet, kind)
    recipe, planned = planner.recipe, fill.planned.value
    dose = 1000 * planner.soap.value / recipe.reference_ml if planner.soap else 0.0
    stocks = [pour.strength.value for pour in fill.pours if pour.strength is not None]
    lines = [v.fill_ml for v in sheet.request.vessels if v.code in fill.codes]
    to_mark = planner.request.fill_mode is FillMode.MARK
    return Aim(
        vv_pct=planner.strength.value if planner.strength else 0.0,
        vv_tolerance_pct=recipe.strength_tolerance_pct,
        dose_ml_per_l=dose,
        dose_tolerance_pct=recipe.soap_tolerance_pct,
        added_vv_pct=stocks[-1] if stocks else 0.0,
        # Soap goes in last, above the mark.
        most_ml=max(min(lines, default=planned), planned * (1 + dose / 1000)),
        least_ml=planned if to_mark else 0.0,
    )


def pour_problem(
    pour: Pour, *, poured_ml: float, before_ml: float, room_ml: float, vessel: str
) -> Say | None:
    """Why an amount cannot have been poured, in the words of who poured it.

    pour       what was planned
    poured_ml  what is said to have been poured into one vessel, mL
    before_ml  what stands in the vessel already, mL
    room_ml    what the vessel holds to the brim, mL
    """
    if not poured_ml > 0:
        return say(
            "Enter what you poured, above zero. If nothing was poured, go back a step."
        )
    if not pour.to_mark and before_ml + poured_ml > room_ml + ROOM_ML:
        return say(
            "{vessel} holds {room}: {poured} more does not go in. Read it again.",
            vessel=vessel,
            room=_ml(room_ml, "to the brim"),
            poured=replace(pour.amount, value=poured_ml, low=None, high=None),
        )
    if pour.to_mark and poured_ml > room_ml + ROOM_ML:
        return say(
            "{vessel} holds {room}: it has no mark above that.",
            vessel=vessel,
            room=_ml(room_ml, "to the brim"),
        )
    return None


@dataclass(frozen=True, kw_only=True)
class Mixed:
    """A whole mixing in numbers: the mean over its vessels, the ends over all."""

    volume_ml: float
    vv_pct: float
    vv_low_pct: float
    vv_high_pct: float
    soap_ml: float


def mixed_of(solution: SolutionSheet) -> Mixed:
    """What one mixing came to over all its vessels.

    vv = sum(vv_i * V_i * n_i) / sum(V_i * n_i);  ends: the lowest and the highest
    """
    volumes = [_volume_ml(fill) * fill.count for fill in solution.fills]
    total = sum(volumes)
    strengths = [fill.strength for fill in solution.fills if fill.strength is not None]
    mean = low = high = 0.0
    if strengths and total:
        mean = sum(s.value * v for s, v in zip(strengths, volumes, strict=True)) / total
        low = min(s.value if s.low is None else s.low for s in strengths)
        high = max(s.value if s.high is None else s.high for s in strengths)
    return Mixed(
        volume_ml=total,
        vv_pct=mean,
        vv_low_pct=low,
        vv_high_pct=high,
        soap_ml=sum(
            pour.amount.value * fill.count
            for fill in solution.fills
            for pour in fill.pours
            if pour.substance is Substance.SOAP
        ),
    )


def _volume_ml(fill: VesselFill) -> float:
    """What stands in one vessel; gel is drawn and does not shrink."""
    if fill.mixed is not None:
        return fill.mixed.value
    return sum(pour.amount.value for pour in fill.pours)


def poured_amount(
    pour: Pour, *, poured_ml: float, dispensers: Sequence[Dispenser]
) -> Figure:
    """A poured amount with the range that reading its dispenser allows, mL."""
    if abs(poured_ml - pour.amount.value) < 1e-9:
        return pour.amount
    spread = _spread(pour, poured_ml, dispensers)
    return given(
        poured_ml,
        pour.amount.unit,
        "entered by who poured it",
        low=max(0.0, poured_ml - spread),
        high=poured_ml + spread,
    )


def _spread(pour: Pour, poured_ml: float, dispensers: Sequence[Dispenser]) -> float:
    used = next((each for each in dispensers if each.name == pour.dispenser), None)
    if used is None:
        # To the mark, or a dispenser that nobody lists any more: as wide as planned.
        amount = pour.amount
        low = amount.value if amount.low is None else amount.low
        high = amount.value if amount.high is None else amount.high
        return (high - low) / 2
    if used.is_counted:
        return counted_spread_ml(
            count=max(1, round(poured_ml / used.graduation_ml)),
            graduation_ml=used.graduation_ml,
            error_ml=used.error_ml,
        )
    return spread_ml(
        amount_ml=poured_ml,
        graduation_ml=used.graduation_ml,
        error_ml=used.error_ml,
        capacity_ml=used.capacity_ml,
    )


def _fill(
    planned: VesselFill,
    amounts: Sequence[float],
    aim: Aim | None,
    bench: Bench,
    mix: Mix,
) -> VesselFill:
    if any(not amount > 0 for amount in amounts):
        raise ValueError("An amount that was poured must be above zero.")
    dispensers = (*bench.dispensers, *usual_dispensers())
    pours = tuple(
        replace(
            pour,
            amount=poured_amount(pour, poured_ml=amount, dispensers=dispensers),
        )
        for pour, amount in zip(planned.pours, amounts, strict=True)
    )
    marks = [pour.amount.value for pour in pours if pour.to_mark]
    if marks:
        mix = replace(mix, plan=replace(mix.plan, volume_ml=marks[0]))
    made = fill_of(mix, pours, bench, codes=planned.codes, count=planned.count)
    wrong = _wrong_pour(planned, amounts, aim)
    return made if wrong is None else replace(made, warnings=(wrong,))


def _wrong_pour(
    planned: VesselFill, amounts: Sequence[float], aim: Aim | None
) -> Say | None:
    """Why a result leaves its tolerance: the pour that was furthest from the sheet."""
    course = begin(planned, aim)
    for amount in amounts:
        course = course.pour(amount)
    if aim is None or not course.is_off:
        return None
    pairs = zip(planned.pours, amounts, strict=True)
    pour, amount = max(pairs, key=lambda p: abs(p[1] / p[0].amount.value - 1))
    return say(
        "{poured} of {substance} went in where the sheet asked for {asked}: it came to "
        "{made}, and {wanted} was wanted.",
        poured=replace(pour.amount, value=amount, low=None, high=None),
        substance=pour.substance.value,
        asked=pour.amount,
        **made_figures(course.in_it, aim),
    )


def _plan_of(fill: VesselFill, request: SheetRequest) -> VesselPlan:
    code = fill.codes[0] if fill.codes else ""
    vessel = next((each for each in request.vessels if each.code == code), None)
    return VesselPlan(
        code=code,
        volume_ml=fill.planned.value,
        mark_error_ml=10.0 if vessel is None else vessel.mark_error_ml,
    )


def _ml(value: float, note: str) -> Figure:
    return given(value, "ml", note)
