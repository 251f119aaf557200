"""The strip: pours at five panel temperatures, for sheets printed ahead (pure)."""

from __future__ import annotations

from mixing.advice import climate_of
from mixing.bench import Bench, CannotPourError
from mixing.fill import needed_figure, use_figure
from mixing.parts import StripColumn, StripPour
from mixing.planner import planner_of
from mixing.recipes import RecipeSpec
from mixing.request import Conditions, SheetRequest
from mixing.shelf import Shelf
from shopapp.figures import Figure, given


def strip_of(
    request: SheetRequest, bench: Bench, shelf: Shelf, area: Figure
) -> tuple[StripColumn, ...]:
    """Pours at each temperature of the strip, at the strength on the shelf.

    Soap follows the warmer of panel and air: the column is that warmer one.
    """
    shelves = [shelf.copy() for _ in request.strip_panel_c]
    columns: list[list[StripPour]] = [[] for _ in request.strip_panel_c]
    for recipe in request.recipes:
        use = use_figure(recipe, request.use_rates)
        needed = needed_figure(recipe, area=area, use=use).value
        alike = all(each.left_ml == shelves[0].left_ml for each in shelves)
        if alike and not recipe.follows_temperature:
            # The same pours in every column: work them out once.
            first = request.strip_panel_c[0]
            pours = _pours(recipe, request, first, bench, shelves[0], needed)
            shelves = [shelves[0].copy() for _ in shelves]
            for column in columns:
                column += pours
            continue
        for panel_c, own, column in zip(
            request.strip_panel_c, shelves, columns, strict=True
        ):
            column += _pours(recipe, request, panel_c, bench, own, needed)
    return tuple(
        StripColumn(
            panel=given(panel_c, "degc", "column of the strip"), pours=tuple(pours)
        )
        for panel_c, pours in zip(request.strip_panel_c, columns, strict=True)
    )


def _pours(
    recipe: RecipeSpec,
    request: SheetRequest,
    panel_c: float,
    bench: Bench,
    shelf: Shelf,
    needed: float,
) -> tuple[StripPour, ...]:
    """The pours of one solution in one column; empty when it cannot be mixed."""
    climate = climate_of(Conditions(panel_c=panel_c, air_c=panel_c))
    try:
        planner = planner_of(recipe, request, climate, bench, shelf)
        alike, _ = planner.plan(needed=needed)
    except CannotPourError:
        return ()
    return tuple(
        StripPour(
            kind=recipe.kind,
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
