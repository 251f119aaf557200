"""Our answers to the rows of the safety tables; shared with the bench."""

from __future__ import annotations

import importlib
from collections.abc import Callable

from mixing.safety.box import sealed_ppm
from mixing.safety.exposure import additive_share, twa_ppm
from mixing.safety.labels import (
    Hazard,
    Ingredient,
    LabelElements,
    label_elements,
    mixture_hazards,
)
from mixing.safety.ventilation import (
    STANDARD_AIR_C,
    concentration_ppm,
    dilution_flow_m3_per_h,
    lel_flow_m3_per_h,
    molar_volume_m3_per_kmol,
    vapour_m3_per_h,
)
from shopapp.units import M3_PER_FT3, ML_PER_US_GALLON

STANDARD_M3_PER_KMOL = molar_volume_m3_per_kmol(temp_c=STANDARD_AIR_C)
L_PER_US_GAL = ML_PER_US_GALLON / 1000
L_PER_H_OF_A_PINT_A_MIN = 60 * L_PER_US_GAL / 8
KG_PER_LB = 0.45359237
FT3_PER_LB_MOL = STANDARD_M3_PER_KMOL * KG_PER_LB / M3_PER_FT3
FT3_PER_PINT = STANDARD_M3_PER_KMOL * L_PER_US_GAL / 8 / M3_PER_FT3
AS_PRINTED = 403 / FT3_PER_PINT
"""The handbooks print 403 ft3 for the vapour of a pint, and 387 of a pound-mole."""


def cfm(flow_m3_per_h: float) -> float:
    """A flow in cubic feet a minute."""
    return flow_m3_per_h / 60 / M3_PER_FT3


def dilution_flow_cfm(*, evaporated_pint_per_min: float, **given: float) -> float:
    evaporated = evaporated_pint_per_min * L_PER_H_OF_A_PINT_A_MIN
    flow = dilution_flow_m3_per_h(
        evaporated_l_per_h=evaporated, temp_c=STANDARD_AIR_C, **given
    )
    return cfm(flow) * AS_PRINTED


def lel_flow_cfm(*, evaporated_pint_per_min: float, **given: float) -> float:
    evaporated = evaporated_pint_per_min * L_PER_H_OF_A_PINT_A_MIN
    return cfm(lel_flow_m3_per_h(evaporated_l_per_h=evaporated, **given)) * AS_PRINTED


def air_to_quarter_lel_ft3_per_gal(
    *, vapour_ft3_per_gal: float, lel_pct: float
) -> float:
    """Air beside the vapour; our flow, with the factor 4, counts the vapour as air."""
    flow = lel_flow_m3_per_h(
        evaporated_l_per_h=1,
        specific_gravity=vapour_ft3_per_gal / STANDARD_M3_PER_KMOL,
        molar_mass_g_per_mol=1,
        lel_pct=lel_pct,
        safety_coefficient=4,
    )
    return flow - 4 * vapour_ft3_per_gal


def vapour_cfm(*, evaporated_lb_per_min: float, molar_mass_g_per_mol: float) -> float:
    return round(FT3_PER_LB_MOL) * evaporated_lb_per_min / molar_mass_g_per_mol


def vapour_ft3_per_gal(**given: float) -> float:
    vapour = vapour_m3_per_h(
        evaporated_l_per_h=L_PER_US_GAL, temp_c=STANDARD_AIR_C, **given
    )
    return vapour / M3_PER_FT3


def flow_at_temp(*, standard_flow: float, temp_c: float) -> float:
    warm = molar_volume_m3_per_kmol(temp_c=temp_c)
    return standard_flow * warm / STANDARD_M3_PER_KMOL


def litres_to_lel_share(
    *, volume_m3: float, lel_pct: float, share_pct: float, **given: float
) -> float:
    """Whatever a litre brings, so many litres bring the share."""
    litre = vapour_m3_per_h(evaporated_l_per_h=1, **given)
    per_litre_ppm = sealed_ppm(vapour_m3=litre, volume_m3=volume_m3)
    return lel_pct * 1e4 * share_pct / 100 / per_litre_ppm


def steady_ppm(**given: float) -> float:
    """The level after a very long time."""
    return concentration_ppm(start_ppm=0, hours=1e6, **given)


def hours_to_reach(*, to_ppm: float, **given: float) -> float:
    """The hour at which the level is there, by halving a thousand hours."""
    low, high = 0.0, 1000.0
    rises = to_ppm > given["start_ppm"]
    for _ in range(60):
        middle = (low + high) / 2
        is_before = (concentration_ppm(hours=middle, **given) < to_ppm) is rises
        low, high = (middle, high) if is_before else (low, middle)
    return high


ASKED_BY_ITS_ROWS: dict[str, tuple[str, Callable[..., float]]] = {
    "us_forms.dilution_flow_cfm": (
        "ventilation.dilution_flow_m3_per_h",
        dilution_flow_cfm,
    ),
    "us_forms.lel_flow_cfm": ("ventilation.lel_flow_m3_per_h", lel_flow_cfm),
    "us_forms.air_to_quarter_lel_ft3_per_gal": (
        "ventilation.lel_flow_m3_per_h",
        air_to_quarter_lel_ft3_per_gal,
    ),
    "us_forms.vapour_cfm": ("ventilation.molar_volume_m3_per_kmol", vapour_cfm),
    "us_forms.vapour_ft3_per_gal": ("ventilation.vapour_m3_per_h", vapour_ft3_per_gal),
    "us_forms.flow_at_temp_cfm": (
        "ventilation.molar_volume_m3_per_kmol",
        lambda standard_flow_cfm, temp_f: flow_at_temp(
            standard_flow=standard_flow_cfm, temp_c=(temp_f - 32) / 1.8
        ),
    ),
    "ventilation.flow_at_temp_m3_per_h": (
        "ventilation.molar_volume_m3_per_kmol",
        lambda standard_flow_m3_per_h, temp_c: flow_at_temp(
            standard_flow=standard_flow_m3_per_h, temp_c=temp_c
        ),
    ),
    "box.steady_ppm": ("ventilation.concentration_ppm", steady_ppm),
    "box.hours_to_reach": ("ventilation.concentration_ppm", hours_to_reach),
    "box.litres_to_lel_share": ("box.sealed_ppm", litres_to_lel_share),
}
"""Rows whose quantity the shop does not compute by itself: by which formula of ours
each is checked, and how it is asked."""


def formula_of(row: dict[str, str]) -> str:
    """The formula that a row checks, as a name in mixing.safety."""
    asked = ASKED_BY_ITS_ROWS.get(row["function"])
    return asked[0] if asked else row["function"]


def ours(row: dict[str, str]) -> float:
    """What our function gives for the inputs of a row, in the row's unit."""
    inputs = dict(pair.split("=") for pair in row["inputs"].split())
    given = {key: float(text) for key, text in inputs.items()}
    if asked := ASKED_BY_ITS_ROWS.get(row["function"]):
        return asked[1](**given) * float(row["times"])
    module, _, name = row["function"].rpartition(".")
    function = getattr(importlib.import_module(f"mixing.safety.{module}"), name)
    value: float = function(**given)
    return value * float(row["times"])


def exposure(row: dict[str, str]) -> float:
    """The average or the share of the limits of a row of safety_exposures."""
    sign = {"twa": "x", "share": ":"}[row["how"]]
    pairs = [tuple(map(float, pair.split(sign))) for pair in row["pairs"].split()]
    if row["how"] == "twa":
        return twa_ppm(periods=[(level, hours) for level, hours in pairs])
    return additive_share(levels=[(level, limit) for level, limit in pairs])


def mixture_label(row: dict[str, str]) -> LabelElements:
    """The label of a row of safety_mixtures."""
    parts = []
    for number, part in enumerate(row["parts"].split()):
        names, _, mass_pct = part.partition(":")
        parts.append(
            Ingredient(
                name=f"part {number}",
                mass_pct=float(mass_pct),
                hazards=frozenset(Hazard(name) for name in names.split("+")),
            )
        )
    category = int(row["category"]) if row["category"] else None
    return label_elements(
        hazards=mixture_hazards(ingredients=parts, flammable_category=category)
    )
