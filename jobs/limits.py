"""What can be meant on the car's path: each range once (pure).

Field, action and formula read it here; readings of the bay stand in `mixing.limits`.
Where no source is named, a range is common practice: it catches a slip of the finger
or another unit, nothing else.
"""

from __future__ import annotations

from mixing.limits import AIR_C, LAYING_C, RH_PCT
from shopapp.limits import Range, Within

PAINT_UM = Range(low=0.0, high=5000.0, unit="um")
"""Filler is thick; no gauge of a shop reads further."""

# The car.
FIRST_YEAR, YEARS_AHEAD = 1950, 2
"""A model year is sold from the summer before; one more for what was ordered."""
MILEAGE = Range(low=0, high=2_000_000)
MARK_MM = Range(low=0.0, high=3000.0, unit="mm")
"""A mark or a defect; in full a roof is scratched from end to end."""
CHECK_NUMBER = Range(low=-1e9, high=1e9)
"""What a checklist's item asks for in a unit of its own; its own ends are said."""
PANEL_MM = Range(low=1.0, high=99_999.0, unit="mm")
"""Wide: `blanks.size_problem` asks for the unit of a side that cannot be."""
WRAP_MM = Range(low=0.0, high=60.0, unit="mm")
HOLD_MM = Range(low=0.0, high=200.0, unit="mm")

TAKEN_IN: Within = {"mileage": MILEAGE}
MARK: Within = {"size_mm": MARK_MM}
ANSWER: Within = {"number": CHECK_NUMBER}
PANEL: Within = {"length_mm": PANEL_MM, "width_mm": PANEL_MM}
ALLOWANCE: Within = {
    **dict.fromkeys(("wrap_length_mm", "wrap_width_mm"), WRAP_MM),
    **dict.fromkeys(("hold_length_mm", "hold_width_mm"), HOLD_MM),
}

# Work and time.
WORK_MIN = Range(low=1, high=3000)
"""A week of one person."""
CURE_H = Range(low=0.0, high=336.0, unit="h")
"""In the shop: the maker's own, or the shop's table."""
CARE_DAYS = Range(low=0, high=90)
LINK_DAYS = Range(low=1, high=365)
VALID_DAYS = Range(low=1, high=365)
"""How long an estimate holds."""

CARS_A_DAY = Range(low=1, high=60)
"""Of one customer, who has them brought together."""

PREP_MIN = Range(low=5, high=1440)
LAYING_MIN = Range(low=30, high=6000, unit="min")
"""Two weeks of one person."""
HELPER_MIN = Range(low=0, high=LAYING_MIN.high, unit="min")
NIGHTS = Range(low=0, high=14)
FREEZE_H = Range(low=0, high=100)
CUTTERS = Range(low=0, high=9)
CUT_MIN = Range(low=5, high=600)

PACKAGE_HOURS: Within = {
    "prep_min": PREP_MIN,
    "laying_min": LAYING_MIN,
    "helper_min": HELPER_MIN,
    "nights": NIGHTS,
}
PLAN_RULE: Within = {"freeze_h": FREEZE_H, "cutters": CUTTERS, "cut_min": CUT_MIN}
CURE: Within = {
    **dict.fromkeys(("small_h", "partial_h", "overnight_h"), CURE_H),
    "after_opening_h": CURE_H,
    **dict.fromkeys(("easy_days", "no_press_days", "pockets_days"), CARE_DAYS),
    **dict.fromkeys(("recheck_from_days", "recheck_until_days"), CARE_DAYS),
}

# Film.
FILM_UM = Range(low=10.0, high=1000.0, unit="um")
ROLL_WIDTH_MM = Range(low=100.0, high=3000.0, unit="mm")
ROLL_LENGTH_MM = Range(low=100.0, high=200_000.0, unit="mm")
ROLL_LEFT_MM = Range(low=0.0, high=ROLL_LENGTH_MM.high, unit="mm")
TAKEN_MM = Range(low=1.0, high=ROLL_LENGTH_MM.high, unit="mm")
"""Taken off a roll at once, or wound back."""
OFFCUT_WIDTH_MM = Range(low=10.0, high=ROLL_WIDTH_MM.high, unit="mm")
OFFCUT_LENGTH_MM = Range(low=10.0, high=20_000.0, unit="mm")

FILM_COST = Range(low=0.0, high=999_999.99)
PRICE_FACTOR = Range(low=0.1, high=10.0)

WARRANTY_YEARS = Range(low=1, high=30)

FILM: Within = {
    "cost_per_m2": FILM_COST,
    "price_factor": PRICE_FACTOR,
    "thickness_um": FILM_UM,
    "panel_min_c": LAYING_C,
    "panel_max_c": LAYING_C,
    "air_min_c": AIR_C,
    "air_max_c": AIR_C,
    "rh_max_pct": RH_PCT,
    "cure_h": CURE_H,
    "wash_after_days": CARE_DAYS,
    "warranty_years": WARRANTY_YEARS,
    "reorder_below_mm": ROLL_LEFT_MM,
}
ROLL: Within = {"width_mm": ROLL_WIDTH_MM, "length_mm": ROLL_LENGTH_MM}
ROLL_LEFT: Within = {"left_mm": ROLL_LEFT_MM}
TAKEN: Within = {"length_mm": TAKEN_MM}
OFFCUT: Within = {"width_mm": OFFCUT_WIDTH_MM, "length_mm": OFFCUT_LENGTH_MM}

# What the shop lets pass, and how its lists are ordered.
PASSED_MM = Range(low=0.1, high=100.0, unit="mm")
PASSED_COUNT = Range(low=0, high=50)
LOOK_FROM_MM = Range(low=100.0, high=5000.0, unit="mm")
PLACE_IN_LIST = Range(low=1, high=500)

ACCEPTANCE: Within = {
    "largest_mm": PASSED_MM,
    "per_panel": PASSED_COUNT,
    "distance_mm": LOOK_FROM_MM,
}

# Money, in the shop's currency, whatever it is worth.
MONEY = Range(low=0.0, high=99_999_999.99)
PAYMENT = Range(low=0.01, high=MONEY.high)
TAX_PCT = Range(low=0.0, high=100.0)

RAISED_PCT = Range(low=-50.0, high=100.0)
PRICE_STEP = Range(low=0.01, high=1000.0)
SIZE_FACTOR = Range(low=0.1, high=10.0)
RAISED: Within = {"pct": RAISED_PCT, "step": PRICE_STEP}
FILLED: Within = {
    "full_front": PAYMENT,
    "step": PRICE_STEP,
    **{f"size_{code}": SIZE_FACTOR for code in ("A", "B", "C", "D", "E", "F")},
    **{f"size_{code}": SIZE_FACTOR for code in ("JC", "JE", "M", "S", "P")},
}
WORK: Within = {"minutes": WORK_MIN, "price": MONEY}
ESTIMATE_RULE: Within = {"valid_days": VALID_DAYS}
AGREED: Within = {"price": MONEY, "deposit": MONEY}
RETURN: Within = {"asked": MONEY}
PAID: Within = {"amount": PAYMENT}
DISCOUNT_PCT = Range(low=0.001, high=100.0)
DISCOUNT: Within = {"amount": PAYMENT, "pct": DISCOUNT_PCT}
ACCOUNT_DAYS = Range(low=0, high=365)
TAX: Within = {"pct": TAX_PCT, "account_days": ACCOUNT_DAYS}

# Prep on an order.
PREP_ML = Range(low=1.0, high=5000.0, unit="ml")
"""Of one product, in one entry."""

PREP: Within = {"litres": PREP_ML.scaled(0.001, "l")}
