"""The strip: pours at five panel temperatures, for sheets printed ahead (pure)."""

from __future__ import annotations

from mixing.sheet.advice import climate_of
from mixing.sheet.bench import Bench, CannotPourError
from mixing.sheet.fill import VesselPlan, needed_figure, plan_vessels, use_figure
from mixing.sheet.parts import StripColumn, StripPour
from mixing.sheet.planner import Planner, planner_of
from mixing.sheet.request import Conditions, SheetRequest
from mixing.sheet.shelf import Shelf
from shopapp.figures import Figure, given


def strip_of(
    request: SheetRequest, bench: Bench, shelf: Shelf, area: Figure
) -> tuple[StripColumn, ...]:
    """Pours at each temperature of the strip, at the strength on the shelf.

    Soap follows the warmer of panel and air: the column is that warmer one.
    """
    shelves = [shelf.copy() for _ in request.strip_panel_c]
    columns: list[list[StripPour]] = [[] for _ in request.strip_panel_c]
    climates = [
        climate_of(Conditions(panel_c=panel_c, air_c=panel_c))
        for panel_c in request.strip_panel_c
    ]
    for recipe in request.recipes:
        use = use_figure(recipe, request.use_rates)
        needed = needed_figure(recipe, area=area, use=use).value
        plans = plan_vessels(recipe, needed=needed, request=request)
        alike = all(each.left_ml == shelves[0].left_ml for each in shelves)
        if alike and not recipe.follows_temperature:
            # The same pours in every column: work them out once.
            planner = planner_of(recipe, request, climates[0], bench, shelves[0])
            pours = _pours(planner, plans)
            shelves = [shelves[0].copy() for _ in shelves]
            for column in columns:
                column += pours
            continue
        for climate, own, column in zip(climates, shelves, columns, strict=True):
            planner = planner_of(recipe, request, climate, bench, own)
            column += _pours(planner, plans)
    return tuple(
        StripColumn(
            panel=given(panel_c, "degc", "column of the strip"), pours=tuple(pours)
        )
        for panel_c, pours in zip(request.strip_panel_c, columns, strict=True)
    )


def _pours(planner: Planner, plans: tuple[VesselPlan, ...]) -> tuple[StripPour, ...]:
    """The pours of one solution in one column; empty when it cannot be mixed."""
    try:
        alike, _ = planner.plan(plans)
    except CannotPourError:
        return ()
    return tuple(
        StripPour(
            kind=planner.recipe.kind,
            codes=each.codes,
            count=each.count,
            substance=pour.substance,
            container=pour.container,
            to_mark=pour.to_mark,
            amount=pour.amount,
        )
        for each in alike
        for pour in each.pours
    )
