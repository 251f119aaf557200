"""What a sheet says beside its pours: slip or gel, water, climate, the trade (pure)."""

from __future__ import annotations

from functools import lru_cache

from mixing.balance import mixed_ml, range_end, strength_vv_pct
from mixing.chemistry.water import (
    hardness_class,
    residue_mg_per_m2,
    solids_class,
    water_advice,
)
from mixing.climate.air import dew_point_c
from mixing.climate.drying import REFERENCE_AIR_M_PER_S, OpenTime, open_time
from mixing.dosing import drop_ml
from mixing.parts import Climate, OpenTimeAdvice, Use, WaterNote, computed
from mixing.recipes import RecipeSpec, SolutionKind, trade_recipes, warmer_c
from mixing.request import Conditions, SheetRequest, Water
from shopapp.figures import Figure, given
from shopapp.say import Say, say
from shopapp.units import ML_PER_US_FL_OZ

DRY_MARGIN_C = 3.0

FINISH = (
    say("Close the head tight."),
    say("Swirl, then turn over slowly 4 or 5 times until nothing settles."),
    say("Never shake: foam under film is a defect."),
)

GEL_FINISH = (say("Close the head tight. Gel is drawn as it is, not thinned."),)


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


def open_time_advice(request: SheetRequest, climate: Climate) -> OpenTimeAdvice:
    """Slip, slip and gel, or gel: open time against the placing minutes."""
    placing = request.placing_min
    shown = None
    if placing is not None:
        shown = given(placing, "min", "placing minutes of the longest panel")
    read = _open_time(request)
    if read is None:
        why = say("Read air, humidity and panel to compare the open time.")
        return _told(None, None, shown, why)
    if not read.dries:
        why = say("Nothing dries on this panel now, so the open time is no limit.")
        return _told(None, read, shown, why)
    if shown is None:
        why = say("Enter the placing minutes of the longest panel to compare.")
        return _told(None, read, shown, why)
    figure = read.figure
    assert figure is not None
    use = _use(figure, shown)
    why = say(
        _WHY[use], low=_end(figure, figure.low), high=_end(figure, figure.high), x=shown
    )
    return _told(use, read, shown, why)


_WHY = {
    Use.SLIP: "Slip: it stays open for {low} to {high} (estimate), longer than the {x} "
    "of placing.",
    Use.SLIP_AND_GEL: "Slip and gel: slip stays open for {low} to {high} (estimate), "
    "which may be shorter than the {x} of placing. Gel on the panel, slip on the film.",
    Use.GEL: "Gel: slip stays open for only {low} to {high} (estimate), shorter than "
    "the {x} of placing.",
}


def _use(open_for: Figure, placing: Figure) -> Use:
    low = open_for.value if open_for.low is None else open_for.low
    if low >= placing.value:
        return Use.SLIP
    return Use.SLIP_AND_GEL if open_for.value >= placing.value else Use.GEL


def _open_time(request: SheetRequest) -> OpenTime | None:
    now = request.conditions
    if now.air_c is None or now.rh_pct is None or now.panel_c is None:
        return None
    # The formulas hold from frost up; below it nobody lays film.
    if not (0 <= now.air_c <= 60 and 0 <= now.panel_c <= 80):
        return None
    speed = REFERENCE_AIR_M_PER_S if now.air_m_per_s is None else now.air_m_per_s
    return open_time(
        air_c=now.air_c,
        rh_pct=now.rh_pct,
        panel_c=now.panel_c,
        air_m_per_s=speed,
        layer_um=request.film_um,
        patch=request.patch,
    )


def _told(
    use: Use | None, read: OpenTime | None, placing: Figure | None, why: Say
) -> OpenTimeAdvice:
    figure = None if read is None else read.figure
    index = None
    if read is not None and read.index is not None:
        index = Figure(
            value=read.index,
            unit="",
            made_by="mixing.climate.drying.open_time",
            inputs=read.inputs,
            low=read.index_low,
            high=read.index_high,
        )
    return OpenTimeAdvice(
        use=use,
        open_time=figure,
        placing=placing,
        index=index,
        calibrated=read is not None and read.calibrated,
        why=why,
        says=() if read is None else read.says,
    )


def _end(figure: Figure, limit: float | None) -> Figure:
    """An end of an estimate, in whole minutes."""
    off = 0.0 if limit is None else round(limit) - figure.value
    return computed(range_end, figure.unit, result=figure, off=off)


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
        says=tuple(_water_says(water, residue)),
        solids_band=solids_class(tds_mg_per_l=tds.value) if tds else "",
        hardness_band=(
            hardness_class(hardness_mg_per_l=hardness.value) if hardness else ""
        ),
    )


def _water_says(water: Water, residue: Figure | None) -> list[Say]:
    if water.source is None:
        return [say("Note once which water the shop mixes with.")]
    says = list(
        water_advice(
            origin=water.source.value,
            tds_mg_per_l=water.tds_mg_per_l,
            hardness_mg_per_l=water.hardness_mg_per_l,
        )
    )
    if residue is not None:
        says.append(
            say(
                "Dried in place, this water leaves {residue}. For comparison only: a "
                "drying drop leaves it as a ring.",
                residue=residue,
            )
        )
    return says


@lru_cache(maxsize=64)
def trade_notes(recipe: RecipeSpec) -> tuple[Say, ...]:
    """Where the trade's words for this bottle disagree, and what the sheet follows."""
    notes = []
    said = recipe.saying
    bottle = given(recipe.reference_ml, "ml", f"recipe {recipe.key}")
    if said.bottle_fl_oz:
        notes.append(
            say(
                "A {fl_oz} US fl oz bottle holds {exact}; the trade says {bottle}, and "
                "so does this sheet.",
                fl_oz=f"{said.bottle_fl_oz:g}",
                exact=computed(fl_oz_ml, "ml", fl_oz=said.bottle_fl_oz),
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
    stock = given(said.stock_ml, "ml", "common practice")
    water = given(said.water_ml, "ml", "common practice")
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
        volume=computed(mixed_ml, "ml", **poured),
        together=computed(strength_vv_pct, "vv_pct", **poured),
        bottle=given(recipe.reference_ml, "ml", f"recipe {recipe.key}"),
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
