"""The mixing sheet: from a job and a day to pours in order (pure; the front door).

Read from the top: `mixing_sheet` asks for the climate, then for each solution how much
is needed (`fill`), from which containers (`shelf`), by which pours (`pours`), what
stands in the vessel afterwards (`outcome`), and what else to say (`advice`).
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from mixing.dispensers.dosing import Dispenser, DispenserKind, Substance
from mixing.laying.limits import LayingLimits, laying_says, not_mixed_for
from mixing.recipes.spec import (
    CurvePoint,
    FillMode,
    RecipeSpec,
    SolutionKind,
    usual_dispensers,
)
from mixing.safety.flammable import CAT_2_FROM_VV_PCT
from mixing.sheet.advice import (
    climate_of,
    finish_of,
    trade_notes,
    water_note,
)
from mixing.sheet.bench import Bench, CannotPourError, bench_of
from mixing.sheet.course import Course, begin
from mixing.sheet.course_says import how_to_set_right, what_it_makes
from mixing.sheet.fill import (
    needed_figure,
    plan_vessels,
    use_figure,
)
from mixing.sheet.parts import (
    Climate,
    MixingSheet,
    OpenTimeAdvice,
    Pour,
    SolutionSheet,
    StripColumn,
    StripPour,
    Use,
    VesselFill,
)
from mixing.sheet.planner import planner_of
from mixing.sheet.poured import aim_of, as_poured, pour_problem
from mixing.sheet.request import (
    Basis,
    Conditions,
    Preferred,
    SheetRequest,
    StockContainer,
    UseRate,
    Vessel,
    Water,
    WaterSource,
    reading_problems,
    request_problems,
)
from mixing.sheet.shelf import Shelf, open_shelf
from mixing.sheet.slip_or_gel import open_time_advice
from mixing.sheet.standing import soap_to_add, together
from mixing.sheet.strip import strip_of
from mixing.sheet.totals import batch_total, drawn
from shopapp.figures import Figure, given
from shopapp.say import Say, say

__all__ = [
    "Basis",
    "Climate",
    "Conditions",
    "Course",
    "CurvePoint",
    "Dispenser",
    "DispenserKind",
    "FillMode",
    "LayingLimits",
    "MixingSheet",
    "OpenTimeAdvice",
    "Pour",
    "Preferred",
    "RecipeSpec",
    "SheetRequest",
    "SolutionKind",
    "SolutionSheet",
    "StockContainer",
    "StripPour",
    "Substance",
    "Use",
    "UseRate",
    "Vessel",
    "VesselFill",
    "Water",
    "WaterSource",
    "aim_of",
    "as_poured",
    "begin",
    "climate_of",
    "how_to_set_right",
    "laying_says",
    "mixing_sheet",
    "open_time_advice",
    "pour_changes",
    "pour_problem",
    "reading_problems",
    "request_problems",
    "sheet_today",
    "soap_to_add",
    "together",
    "what_it_makes",
]


def mixing_sheet(request: SheetRequest) -> MixingSheet:
    """Everything that is poured for one job, and why.

    Raises ValueError with the first sentence of `request_problems`. What stops only
    one solution stands in its `refusal`; the others are computed all the same.
    """
    for problem in request_problems(request):
        raise ValueError(str(problem.sentence))
    climate = climate_of(request.conditions)
    bench = _bench(request)
    shelf = open_shelf(request.stock)
    area = given(request.film_area_m2, "m2", "film to be laid")
    ahead = not request.conditions.is_complete
    strip: tuple[StripColumn, ...] = ()
    if ahead or request.with_strip:
        strip = strip_of(request, bench, shelf, area)
    return MixingSheet(
        request=request,
        printed_ahead=ahead,
        film_area=area,
        climate=climate,
        solutions=tuple(
            _solution(recipe, request, climate, bench, shelf, area)
            for recipe in request.recipes
        ),
        strip=strip,
        open_time=open_time_advice(request, climate),
        water=water_note(request),
        warnings=_heat_says(request) + climate.says + _missing(request, bench),
    )


def sheet_today(sheet: MixingSheet, *, request: SheetRequest) -> MixingSheet:
    """A kept sheet as it is read under another reading: only its pours stay.

    request  as things stand now: its reading, placing time, water and limits count
    """
    climate = climate_of(request.conditions)
    return replace(
        sheet,
        climate=climate,
        open_time=open_time_advice(request, climate),
        water=water_note(request),
        warnings=(
            *_heat_says(request),
            *climate.says,
            *_missing(request, _bench(request)),
            *_poured_for(sheet, climate),
        ),
    )


def _poured_for(sheet: MixingSheet, now: Climate) -> tuple[Say, ...]:
    """The temperature that the kept pours were worked out for, where it is another."""
    if all(each.refusal is not None for each in sheet.solutions):
        return ()  # too hot then: no pours were worked out
    before, after = sheet.climate.warmer, now.warmer
    if before is None or after is None or abs(before.value - after.value) < 0.05:
        return ()
    return (
        say(
            "The pours were worked out for {before} (the warmer of panel and air); it "
            "is {after} now.",
            before=before,
            after=after,
        ),
    )


def pour_changes(
    sheet: MixingSheet,
    *,
    conditions: Conditions,
    laying: LayingLimits | None = None,
) -> tuple[Say, ...]:
    """Which pours another reading would change; empty: the sheet is still valid.

    A pour changes when it moves by a whole graduation of its dispenser.
    laying  the limits that count now; None: those of the sheet
    """
    if sheet.printed_ahead:
        waits = any(recipe.follows_temperature for recipe in sheet.request.recipes)
        ahead = "This sheet was printed before the reading: pour from its strip."
        return (say(ahead),) if waits else ()
    limits = sheet.request.laying if laying is None else laying
    request = replace(sheet.request, conditions=conditions, laying=limits)
    now = mixing_sheet(request)
    if now.printed_ahead:
        return ()
    if sentence := _too_hot(request):
        hot_before = all(each.refusal is not None for each in sheet.solutions)
        return () if hot_before else (sentence,)
    changes: list[Say] = []
    for old, new in zip(sheet.solutions, now.solutions, strict=True):
        if old.refusal is not None and new.refusal is None:
            changes.append(say("{solution} can be mixed now.", solution=old.name))
            continue
        if [fill.codes for fill in old.fills] != [fill.codes for fill in new.fills]:
            changes.append(
                say(
                    "{solution}: other vessels are filled now. Print a new sheet.",
                    solution=old.name,
                )
            )
            continue
        for before, after in zip(old.fills, new.fills, strict=True):
            changes += _changes(old, before, after)
    return tuple(changes)


def _changes(
    solution: SolutionSheet, before: VesselFill, after: VesselFill
) -> list[Say]:
    changes = []
    amounts = {(p.substance, p.container): p.amount for p in after.pours}
    for pour in before.pours:
        amount = amounts.get((pour.substance, pour.container), pour.amount)
        if pour.to_mark or abs(amount.value - pour.amount.value) < 1e-9:
            continue
        changes.append(
            say(
                "{solution}: the {substance} changes from {before} to {after}.",
                solution=solution.name,
                substance=pour.substance.value,
                before=pour.amount,
                after=amount,
            )
        )
    return changes


def _bench(request: SheetRequest) -> Bench:
    return bench_of(
        request.dispensers or usual_dispensers(),
        wanted=((each.substance, each.dispenser) for each in request.preferred),
    )


def _missing(request: SheetRequest, bench: Bench) -> tuple[Say, ...]:
    """What the sheet had to assume because the shop has not listed it."""
    missing = []
    if not request.conditions.is_complete:
        missing.append(
            say(
                "Read panel and air before mixing: soap follows the warmer of the two. "
                "Until then pour from the strip."
            )
        )
    wanted = {s for recipe in request.recipes for s in _substances(recipe, request)}
    for substance in Substance:
        if substance in wanted and request.dispensers and substance not in bench.has:
            usual = bench.choices[substance][0].name
            missing.append(
                say(
                    "No dispenser for {substance} is on the list: computed for a usual "
                    "{dispenser}.",
                    substance=substance.value,
                    dispenser=usual,
                )
            )
    return tuple(missing)


def _substances(recipe: RecipeSpec, request: SheetRequest) -> Iterable[Substance]:
    if recipe.kind is SolutionKind.GEL:
        return (Substance.GEL,)
    wanted = [Substance.ALCOHOL] if recipe.has_alcohol else []
    wanted += [Substance.SOAP] if recipe.has_soap else []
    measured = request.fill_mode is FillMode.MEASURED
    return (*wanted, Substance.WATER) if measured else wanted


def _solution(
    recipe: RecipeSpec,
    request: SheetRequest,
    climate: Climate,
    bench: Bench,
    shelf: Shelf,
    area: Figure,
) -> SolutionSheet:
    use = use_figure(recipe, request.use_rates)
    needed = needed_figure(recipe, area=area, use=use)
    blank = SolutionSheet(
        kind=recipe.kind,
        name=recipe.name,
        recipe_key=recipe.key,
        recipe_source=recipe.source,
        fill_mode=request.fill_mode,
        use=use,
        needed=needed,
        batch=None,
        fills=(),
        draws=(),
        finish=finish_of(recipe.kind),
        top_up=None,
        notes=trade_notes(recipe),
        warnings=(),
        refusal=None,
    )
    if too_hot := _too_hot(request):
        return replace(blank, refusal=too_hot)
    if recipe.follows_temperature and not request.conditions.is_complete:
        return blank
    planner = planner_of(recipe, request, climate, bench, shelf)
    plans = plan_vessels(recipe, needed=needed.value, request=request)
    try:
        alike, warnings = planner.plan(plans)
        fills = planner.fills(alike)
    except CannotPourError as refused:
        return replace(blank, refusal=refused.sentence)
    return replace(
        blank,
        fills=fills,
        batch=batch_total(fills),
        draws=drawn(fills),
        top_up=_top_up(recipe, fills),
        warnings=(
            *planner.capacity_says(plans, needed=needed.value),
            *warnings,
            *_class_warning(recipe, fills),
        ),
    )


def _too_hot(request: SheetRequest) -> Say | None:
    if request.laying is None:
        return None
    return not_mixed_for(panel_c=request.conditions.panel_c, limits=request.laying)


def _heat_says(request: SheetRequest) -> tuple[Say, ...]:
    return laying_says(panel_c=request.conditions.panel_c, limits=request.limits)


def _top_up(recipe: RecipeSpec, fills: tuple[VesselFill, ...]) -> Say | None:
    if recipe.kind is SolutionKind.GEL or not fills:
        return None
    if recipe.has_alcohol:
        return say(
            "Top up only from the same batch, or mix a new one by the same pours: "
            "water alone makes it weaker."
        )
    return say(
        "Top up only from the same batch, or mix a new one by the same pours: water "
        "alone takes the slip away."
    )


def _class_warning(
    recipe: RecipeSpec, fills: tuple[VesselFill, ...]
) -> tuple[Say, ...]:
    """Said when the strength on its curve crosses the limit that the recipe kept."""
    if not recipe.strength_curve_on or recipe.vv_pct >= CAT_2_FROM_VV_PCT:
        return ()
    strengths = [fill.strength for fill in fills if fill.strength is not None]
    strong = [s for s in strengths if s.value >= CAT_2_FROM_VV_PCT]
    if not strong:
        return ()
    return (
        say(
            "On its curve this mix reaches {strength}: from {limit} it counts as a "
            "flammable liquid of Category 2. Take a vessel with that label.",
            strength=strong[0],
            limit=given(CAT_2_FROM_VV_PCT, "vv_pct", "the shop's safety rule"),
        ),
    )
