"""What can be meant at the bench, in the air, on a data sheet: each range once (pure).

Field, action, request and formula read it here. Where no source is named, a range is
common practice: it catches a slip of the finger or another unit, nothing else.
"""

from __future__ import annotations

from shopapp.limits import POSITION, Range, Within
from shopapp.limits import SHORT_PPM as SHORT_PPM
from shopapp.limits import VAPOUR_PPM as VAPOUR_PPM

# One reading. Field, sheet and safety block took three different ranges once.
AIR_C = Range(low=-20.0, high=60.0, unit="degc")
"""A bay or a yard."""
PANEL_C = Range(low=-30.0, high=90.0, unit="degc")
"""A car comes in from a hard frost; black paint in the sun comes near the upper end.
What lies over it is another unit: 95 °F is a warm panel."""
RH_PCT = Range(low=1.0, high=100.0, unit="pct")
"""Air without any moisture has no dew point, and no hygrometer of a shop reads it: 0 is
one that is off. It ends at 100 % by definition."""
AIR_M_PER_S = Range(low=0.0, high=10.0, unit="m_per_s")
"""Over the panel; no page asks for it, only a request may hold it."""

LAYING_C = Range(low=-20.0, high=80.0, unit="degc")
"""A panel that somebody allows film to be laid on: the shop, or the film's maker."""
KEEPS_DAYS = Range(low=0, high=90)
"""A solution in its bottle."""

LAYING: Within = {
    **dict.fromkeys(("cold_c", "hot_c", "too_hot_c"), LAYING_C),
    **dict.fromkeys(("slip_days", "tack_days", "all_in_one_days"), KEEPS_DAYS),
    "gel_days": KEEPS_DAYS,
}

# The shop's own test of the open time; its formulas hold from frost up.
DRYING_AIR_C = Range(low=0.0, high=60.0, unit="degc")
DRYING_PANEL_C = Range(low=0.0, high=80.0, unit="degc")
PATCH_MIN = Range(low=0.5, high=240.0, unit="min")

PATCH: Within = {
    "patch_min": PATCH_MIN,
    "patch_panel_c": DRYING_PANEL_C,
    "patch_air_c": DRYING_AIR_C,
    "patch_rh_pct": RH_PCT,
}

# Vessels and what is in them.
VESSEL_ML = Range(low=50.0, high=30_000.0, unit="ml")
"""A spray bottle to a pressure sprayer; a recipe is written for one of them."""
LEFT_ML = Range(low=0.0, high=VESSEL_ML.high, unit="ml")
POURED_ML = Range(low=1.0, high=VESSEL_ML.high, unit="ml")

VESSEL: Within = {"capacity_ml": VESSEL_ML, "usable_ml": VESSEL_ML}
TOP_UP: Within = {"volume_ml": POURED_ML}

# Stock and what it is measured with.
CONTAINER_ML = Range(low=1.0, high=250_000.0, unit="ml")
"""A syringe of gel to a drum."""
STOCK_ML = Range(low=0.0, high=CONTAINER_ML.high, unit="ml")
STRENGTH_PCT = Range(low=0.0, high=100.0, unit="pct")

CONTAINER: Within = {"capacity_ml": CONTAINER_ML, "strength_pct": STRENGTH_PCT}
COUNTED: Within = {"left_ml": STOCK_ML}

GRADUATION_ML = Range(low=0.01, high=500.0, unit="dose_ml")
ERROR_ML = Range(low=0.0, high=100.0, unit="dose_ml")
DISPENSER_ML = Range(low=0.1, high=20_000.0, unit="dose_ml")

DISPENSER: Within = {
    "graduation_ml": GRADUATION_ML,
    "error_ml": ERROR_ML,
    "capacity_ml": DISPENSER_ML,
}

DROP_ML = Range(low=0.01, high=1.0, unit="drop_ml")
"""What no dropper goes beyond: a medicine dropper gives 0.05 mL of water (USP 32
chapter 1101), a soap bottle about 0.35 mL (common practice, no published source). It is
worked out from what was counted or weighed; no field asks for it."""
MARK_ML = Range(low=0.5, high=50.0, unit="dose_ml")
COUNTED_DROPS = Range(low=1, high=2000)
WEIGHED_DROPS = Range(low=5, high=500)
"""A kitchen scale reads no less than five drops."""
WEIGHED_G = Range(low=0.01, high=1000.0, unit="g")
SOAP_G_PER_ML = Range(low=0.7, high=1.5, unit="g_per_ml")

COUNTING: Within = {"volume_ml": MARK_ML}
WEIGHING: Within = {"drops": WEIGHED_DROPS, "density_g_per_ml": SOAP_G_PER_ML}

TDS_MG_PER_L = Range(low=0.0, high=5000.0, unit="mg_per_l")
HARDNESS_MG_PER_L = Range(low=0.0, high=2000.0, unit="mg_per_l")

WATER: Within = {
    "tds_mg_per_l": TDS_MG_PER_L,
    "hardness_mg_per_l": HARDNESS_MG_PER_L,
}

# A recipe.
MIXED_VV_PCT = Range(low=0.1, high=100.0, unit="vv_pct")
SOAP_ML = Range(low=0.01, high=500.0, unit="dose_ml")
STRENGTH_OFF_PCT = Range(low=0.1, high=50.0, unit="pct")
SOAP_OFF_PCT = Range(low=0.1, high=100.0, unit="pct")
USE_ML_PER_M2 = Range(low=1.0, high=5000.0, unit="ml_per_m2")
RESERVE_PCT = Range(low=0.0, high=500.0, unit="pct")
CURVE_C = Range(low=-20.0, high=80.0, unit="degc")

RECIPE: Within = {
    "reference_ml": VESSEL_ML,
    "vv_pct": MIXED_VV_PCT,
    "soap_ml": SOAP_ML,
    "strength_tolerance_pct": STRENGTH_OFF_PCT,
    "soap_tolerance_pct": SOAP_OFF_PCT,
    "use_low_ml_per_m2": USE_ML_PER_M2,
    "use_high_ml_per_m2": USE_ML_PER_M2,
}

SPRAYED_L = Range(low=0.0, high=30_000.0, unit="l")
"""Of one liquid on one job: what most film at the most use and reserve comes to."""

# A data sheet, or the report of a test.
FLASH_POINT_C = Range(low=-150.0, high=600.0, unit="degc")
"""The short form took less than the long one once."""
BOILING_POINT_C = Range(low=-150.0, high=600.0, unit="degc")
MIX_BOILING_C = Range(low=60.0, high=105.0, unit="degc")
"""Of alcohol in water, with room for thin air and a poor thermometer."""
DENSITY_G_PER_ML = Range(low=0.3, high=3.0, unit="g_per_ml")
VOLATILE_PCT = Range(low=0.0, high=100.0)
MOLAR_MASS_G_PER_MOL = Range(low=2.0, high=1000.0)
LEL_PCT = Range(low=0.1, high=50.0)
LIMIT_PPM = Range(low=0.01, high=10_000.0)
TESTED_VV_PCT = Range(low=-1000.0, high=1000.0)
"""Wide: `flash_measurement.typed_troubles` says what a strength cannot be."""

CHEMICAL: Within = {
    "strength_pct": STRENGTH_PCT,
    "flash_point_c": FLASH_POINT_C,
    "boiling_point_c": BOILING_POINT_C,
    "density_g_per_ml": DENSITY_G_PER_ML,
    "volatile_pct": VOLATILE_PCT,
    "molar_mass_g_per_mol": MOLAR_MASS_G_PER_MOL,
    "lel_pct": LEL_PCT,
    "limit_ppm": LIMIT_PPM,
}
MEASURED: Within = {
    "vv_pct": STRENGTH_PCT,
    "flash_point_c": FLASH_POINT_C,
    "boiling_point_c": MIX_BOILING_C,
}

# The air of the shop.
HEIGHT_M = Range(low=-400.0, high=4500.0, unit="m_whole")
WIPE_ML_PER_M2 = Range(low=1.0, high=500.0, unit="wipe_ml_per_m2")
WIPE_MIN = Range(low=0.1, high=60.0, unit="min_each")

AIR: Within = {
    "height_m": HEIGHT_M,
    "wipe_ml_per_m2": WIPE_ML_PER_M2,
    "wipe_min_per_panel": WIPE_MIN,
}

SIDE_M = Range(low=1.0, high=60.0, unit="m")
BAY_HEIGHT_M = Range(low=1.0, high=15.0, unit="m")
BAY_M3 = Range(low=10.0, high=10_000.0, unit="m3")
"""No side is typed so; the three of them make it."""
EXHAUST_M3_PER_H = Range(low=1.0, high=200_000.0, unit="m3_per_h")

BAY: Within = {
    "length_m": SIDE_M,
    "width_m": SIDE_M,
    "height_m": BAY_HEIGHT_M,
    "exhaust_m3_per_h": EXHAUST_M3_PER_H,
    "position": POSITION,
}

ALLOWED_L = Range(low=0.1, high=100_000.0, unit="l")
"""In one place."""

SPOT: Within = {"allowed_l": ALLOWED_L}
