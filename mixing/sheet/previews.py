"""What a recipe or a water test would come to, before anything is mixed (pure)."""

from __future__ import annotations

from dataclasses import dataclass

from mixing.recipes.spec import CurvePoint, RecipeSpec
from mixing.sheet import (
    Conditions,
    SheetRequest,
    SolutionSheet,
    StockContainer,
    mixing_sheet,
)
from mixing.sheet.drawing import Axis, curve_svg
from shopapp.units import System, shown

MILD = Conditions(air_c=22.0, rh_pct=50.0, panel_c=22.0)
"""Inside the band where the soap of the recipe stands as it is."""
EDGE_C = 5.0


@dataclass(frozen=True, kw_only=True)
class RecipePreview:
    """One bottle of a recipe on a mild day, and its curves as drawings."""

    solution: SolutionSheet
    soap_svg: str
    strength_svg: str


def preview_of(
    spec: RecipeSpec, *, stock: tuple[StockContainer, ...], system: System
) -> RecipePreview:
    """One reference bottle by this recipe, from the stock on the shelf."""
    sheet = mixing_sheet(
        SheetRequest(film_area_m2=0.01, recipes=(spec,), conditions=MILD, stock=stock)
    )
    return RecipePreview(
        solution=sheet.solutions[0],
        soap_svg=_curve(spec.soap_curve, "dose_ml", "soap in one bottle", system),
        strength_svg=_curve(spec.strength_curve, "vv_pct", "strength", system),
    )


def _curve(
    points: tuple[CurvePoint, ...], unit: str, title: str, system: System
) -> str:
    if not points:
        return ""
    low_c, high_c = points[0].temp_c - EDGE_C, points[-1].temp_c + EDGE_C
    most = max(point.amount for point in points) * 1.25
    return curve_svg(
        points=[
            (p.temp_c, p.amount, shown(p.amount, unit, system=system).number)
            for p in points
        ],
        across=Axis(
            low=low_c,
            high=high_c,
            low_label=str(shown(low_c, "degc", system=system)),
            high_label=str(shown(high_c, "degc", system=system)),
            title="warmer of panel and air" if unit == "dose_ml" else "panel",
        ),
        up=Axis(
            low=0.0,
            high=most,
            low_label="0",
            high_label=str(shown(most, unit, system=system)),
            title=title,
        ),
    )
