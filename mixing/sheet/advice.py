"""What a sheet says beside its pours: water, climate, the trade (pure)."""

from __future__ import annotations

from functools import lru_cache

from mixing.chemistry.water import (
    hardness_class,
    residue_mg_per_m2,
    solids_for_film,
    water_advice,
)
from mixing.climate.air import dew_point_c
from mixing.dispensers.dosing import drop_ml
from mixing.recipes.spec import RecipeSpec, SolutionKind, trade_recipes, warmer_c
from mixing.sheet.balance import mixed_ml, strength_vv_pct
from mixing.sheet.parts import Climate, WaterNote
from mixing.sheet.request import Conditions, SheetRequest, Water
from shopapp.figures import Figure, computed, formula, given
from shopapp.say import Say, say
from shopapp.units import ML_PER_US_FL_OZ

DRY_MARGIN_C = 3.0
"""Coating practice (ISO 8502-4, ISO 12944-7 by secondary sources), not film's."""

FINISH = (
    say("Close the head tight."),
    say("Swirl, then turn over slowly 4 or 5 times until nothing settles."),
    say("Never shake: foam under film is a defect."),
)

GEL_FINISH = (say("Close the head tight. Gel is drawn as it is, not thinned."),)


@formula("advice.dew_margin_k", was=("panel.dew_margin_c",))
def dew_margin_k(*, panel_c: float, air_c: float, rh_pct: float) -> float:
    """How far the panel is above the dew point of the air.

        margin = panel - dew point(air, humidity)

    panel_c  panel temperature, °C
    air_c    air temperature, °C
    rh_pct   relative humidity, %, above 0 to 100

    Not for: a promise: 3 °C is a margin borrowed from painting.
    Source:  definition; dew point by mixing.climate.air.dew_point_c (ASHRAE
             Handbook - Fundamentals 2017); 3 °C as in ISO 8502-4 by secondary
             sources, nobody published it for film.

    >>> round(dew_margin_k(panel_c=31, air_c=30, rh_pct=55))
    11
    """
    return panel_c - dew_point_c(air_c=air_c, rh_pct=rh_pct)


@formula("advice.fl_oz_ml")
def fl_oz_ml(*, fl_oz: float) -> float:
    """US fluid ounces in mL.

        volume = fl oz * 29.5735295625

    fl_oz    US fluid ounces, 0 or more

    Not for: imperial fluid ounces (28.4131 mL).
    Source:  NIST Handbook 44, appendix C: 231 cubic inches a gallon, 128 fl oz.

    >>> round(fl_oz_ml(fl_oz=32), 2)
    946.35
    """
    return fl_oz * ML_PER_US_FL_OZ


@formula("advice.parts_of_water")
def parts_of_water(*, stock: float, water: float) -> float:
    """Parts of water to one part of stock.

        parts = water / stock

    stock, water  both in the same unit, above 0

    Not for:      volumes after mixing: alcohol and water shrink.
    Source:       definition.

    >>> round(parts_of_water(stock=240, water=710), 3)
    2.958
    """
    return water / stock


def climate_of(conditions: Conditions) -> Climate:
    """The reading as figures, with dew point and what it means for the edges."""
    air = _read(conditions.air_c, "degc", "air")
    rh = _read(conditions.rh_pct, "pct", "humidity")
    panel = _read(conditions.panel_c, "degc", "panel")
    warmer = dew = margin = None
    says: tuple[Say, ...] = ()
    if air is not None and panel is not None:
        warmer = computed(warmer_c, "degc", panel_c=panel, air_c=air)
    if air is not None and rh is not None and rh.value > 0:
        dew = computed(dew_point_c, "degc", air_c=air, rh_pct=rh)
        if panel is not None:
            margin = computed(
                dew_margin_k, "kelvin", panel_c=panel, air_c=air, rh_pct=rh
            )
            says = _dew_says(panel, dew, margin)
    return Climate(
        air=air,
        rh=rh,
        panel=panel,
        air_speed=_read(conditions.air_m_per_s, "m_per_s", "air over the panel"),
        warmer=warmer,
        dew_point=dew,
        margin=margin,
        says=says,
    )


def _read(value: float | None, unit: str, what: str) -> Figure | None:
    return None if value is None else given(value, unit, f"reading: {what}")


def _dew_says(panel: Figure, dew: Figure, margin: Figure) -> tuple[Say, ...]:
    if margin.value <= 0:
        return (
            say(
                "The panel ({panel}) is below the dew point ({dew}): edges will not "
                "dry. Warm the car first.",
                panel=panel,
                dew=dew,
            ),
        )
    if margin.value < DRY_MARGIN_C:
        return (
            say(
                "The panel is only {margin} above the dew point: edges dry slowly.",
                margin=margin,
            ),
        )
    return ()


def water_note(request: SheetRequest) -> WaterNote:
    """What is known of the water, and what it may leave on the panel."""
    water = request.water
    tds = residue = hardness = None
    if water.tds_mg_per_l is not None:
        tds = given(water.tds_mg_per_l, "mg_per_l", "water test")
        film = given(request.film_um, "um", "wet film on the panel")
        residue = computed(
            residue_mg_per_m2, "mg_per_m2", tds_mg_per_l=tds, layer_um=film
        )
    if water.hardness_mg_per_l is not None:
        hardness = given(water.hardness_mg_per_l, "mg_per_l", "water test, as CaCO3")
    return WaterNote(
        source=water.source,
        tds=tds,
        hardness=hardness,
        residue=residue,
        says=(*_water_says(water), *_residue_says(residue)),
        at_the_pour=_water_says(water) if water.source else (),
        solids_band=solids_for_film(tds_mg_per_l=tds.value) if tds else "",
        hardness_band=(
            hardness_class(hardness_mg_per_l=hardness.value) if hardness else ""
        ),
    )


def _water_says(water: Water) -> tuple[Say, ...]:
    if water.source is None:
        return (say("Note once which water the shop mixes with."),)
    return water_advice(
        origin=water.source.value,
        tds_mg_per_l=water.tds_mg_per_l,
        hardness_mg_per_l=water.hardness_mg_per_l,
    )


def _residue_says(residue: Figure | None) -> tuple[Say, ...]:
    if residue is None:
        return ()
    return (
        say(
            "Dried in place, this water leaves {residue}. For comparison only: a "
            "drying drop leaves it as a ring.",
            residue=residue,
        ),
    )


@lru_cache(maxsize=64)
def trade_notes(recipe: RecipeSpec) -> tuple[Say, ...]:
    """Where the trade's words for this bottle disagree, and what the sheet follows."""
    notes = []
    said = recipe.saying
    # In mL everywhere: they set the trade's two ways of saying it side by side.
    bottle = given(recipe.reference_ml, "jug_ml", f"recipe {recipe.key}")
    if said.bottle_fl_oz:
        notes.append(
            say(
                "A {fl_oz} US fl oz bottle holds {exact}; the trade says {bottle}, and "
                "so does this sheet.",
                fl_oz=f"{said.bottle_fl_oz:g}",
                exact=computed(fl_oz_ml, "jug_ml", fl_oz=said.bottle_fl_oz),
                bottle=bottle,
            )
        )
    if said.stock_fl_oz and said.stock_ml:
        notes.append(_ratio_note(recipe))
    if said.drops:
        notes.append(_drops_note(recipe))
    return tuple(notes)


def _ratio_note(recipe: RecipeSpec) -> Say:
    said = recipe.saying
    stock = given(said.stock_ml, "jug_ml", "common practice")
    water = given(said.water_ml, "jug_ml", "common practice")
    poured = {
        "stock_ml": stock,
        "stock_vv_pct": given(said.stock_vv_pct, "vv_pct", "common practice"),
        "water_ml": water,
    }
    return say(
        "{stock} and {water} is 1 to {metric}; {stock_oz} and {water_oz} fl oz is 1 to "
        "{ounces}. Poured together they give {volume} of {together}, not {bottle}. "
        "This sheet follows the strength: {strength}, made up to the volume.",
        stock=stock,
        water=water,
        metric=computed(parts_of_water, "", stock=said.stock_ml, water=said.water_ml),
        stock_oz=f"{said.stock_fl_oz:g}",
        water_oz=f"{said.water_fl_oz:g}",
        ounces=computed(
            parts_of_water, "", stock=said.stock_fl_oz, water=said.water_fl_oz
        ),
        volume=computed(mixed_ml, "jug_ml", **poured),
        together=computed(strength_vv_pct, "vv_pct", **poured),
        bottle=given(recipe.reference_ml, "jug_ml", f"recipe {recipe.key}"),
        strength=given(recipe.vv_pct, "vv_pct", f"recipe {recipe.key}"),
    )


def _drops_note(recipe: RecipeSpec) -> Say:
    others = [
        other
        for other in trade_recipes()
        if other.saying.drops and other.kind is not recipe.kind
    ]
    size = _drop(recipe)
    if not others:
        return say(
            "{drops} drops for {soap} means {size} a drop. A soap bottle's drop is no "
            "measure: use a syringe, or a dropper that the shop has calibrated.",
            drops=recipe.saying.drops,
            soap=given(recipe.soap_ml, "dose_ml", f"recipe {recipe.key}"),
            size=size,
        )
    return say(
        "{drops} drops for {soap} means {size} a drop, but {others} drops for "
        "{other_soap} means {other_size}. A soap bottle's drop is no measure: use a "
        "syringe, or a dropper that the shop has calibrated.",
        drops=recipe.saying.drops,
        soap=given(recipe.soap_ml, "dose_ml", f"recipe {recipe.key}"),
        size=size,
        others=others[0].saying.drops,
        other_soap=given(others[0].soap_ml, "dose_ml", "common practice"),
        other_size=_drop(others[0]),
    )


def _drop(recipe: RecipeSpec) -> Figure:
    drops = recipe.saying.drops
    return computed(drop_ml, "drop_ml", volume_ml=recipe.soap_ml, drops=drops)


def finish_of(kind: SolutionKind) -> tuple[Say, ...]:
    """What is done after the last pour."""
    return GEL_FINISH if kind is SolutionKind.GEL else FINISH
