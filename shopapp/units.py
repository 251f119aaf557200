"""Base units inside, the shop's units at the edge (pure).

Base units: ml, mm, m2, m3, degC, m3_per_h, kg, g, um, ppm, pct. Factors are exact.
Source: NIST Handbook 44 (2024) appendix C, general tables of units.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum


class System(StrEnum):
    """The two ways a shop may measure."""

    METRIC = "metric"
    US = "us"


@dataclass(frozen=True, kw_only=True)
class Unit:
    """How a base unit is shown: symbol, decimals, and the US counterpart.

    us_per_base and us_offset turn a base value into the US one:
    us = base * us_per_base + us_offset. us_symbol "" means "the same in both".
    whole_from: from this base value on no decimals are shown; nobody reads them.
    in_feet: told as feet and inches, "18 ft 10 in"; typed in feet all the same.
    """

    symbol: str
    digits: int
    whole_from: float = math.inf
    us_symbol: str = ""
    us_digits: int = 0
    us_per_base: float = 1.0
    us_offset: float = 0.0
    in_feet: bool = False


ML_PER_US_FL_OZ = 29.5735295625
ML_PER_US_GALLON = 3785.411784
MM_PER_INCH = 25.4
INCHES_PER_FOOT = 12
M2_PER_FT2 = 0.09290304
M3_PER_FT3 = 0.028316846592

UNITS: dict[str, Unit] = {
    "": Unit(symbol="", digits=2),
    "ml": Unit(
        symbol="mL",
        digits=1,
        whole_from=100,
        us_symbol="fl oz",
        us_digits=2,
        us_per_base=1 / ML_PER_US_FL_OZ,
    ),
    # A dose is read off a syringe, which is marked in mL everywhere.
    "dose_ml": Unit(symbol="mL", digits=2),
    # Poured by a jug or syringe that is marked in mL, in a US shop too.
    "jug_ml": Unit(symbol="mL", digits=1, whole_from=100),
    "l": Unit(
        symbol="L",
        digits=2,
        us_symbol="gal",
        us_digits=2,
        us_per_base=1000 / ML_PER_US_GALLON,
    ),
    "mm": Unit(
        symbol="mm", digits=0, us_symbol="in", us_digits=1, us_per_base=1 / MM_PER_INCH
    ),
    "m": Unit(
        symbol="m",
        digits=2,
        in_feet=True,
        us_symbol="ft",
        us_digits=2,
        us_per_base=1000 / MM_PER_INCH / 12,
    ),
    # A distance to keep, a height above the sea: nobody measures its decimals.
    "m_whole": Unit(
        symbol="m",
        digits=0,
        us_symbol="ft",
        us_digits=0,
        us_per_base=1000 / MM_PER_INCH / 12,
    ),
    "m2": Unit(
        symbol="m²", digits=2, us_symbol="ft²", us_digits=1, us_per_base=1 / M2_PER_FT2
    ),
    "m3": Unit(
        symbol="m³", digits=0, us_symbol="ft³", us_digits=0, us_per_base=1 / M3_PER_FT3
    ),
    "m3_per_h": Unit(
        symbol="m³/h",
        digits=0,
        us_symbol="cfm",
        us_digits=0,
        us_per_base=1 / M3_PER_FT3 / 60,
    ),
    "degc": Unit(
        symbol="°C",
        digits=1,
        us_symbol="°F",
        us_digits=0,
        us_per_base=1.8,
        us_offset=32,
    ),
    "kelvin": Unit(symbol="K", digits=1, us_symbol="°F", us_digits=1, us_per_base=1.8),
    "um": Unit(
        symbol="µm", digits=0, us_symbol="mil", us_digits=1, us_per_base=1 / 25.4
    ),
    "vv_pct": Unit(symbol="% v/v", digits=1),
    "ww_pct": Unit(symbol="% w/w", digits=1),
    "pct": Unit(symbol="%", digits=0),
    # A bay holds little of the lower explosive limit: whole numbers would read 0.
    "lel_pct": Unit(symbol="%", digits=1),
    "ppm": Unit(symbol="ppm", digits=0),
    "drop_ml": Unit(symbol="mL", digits=3),
    # A dose in a bottle is read the same way everywhere, like a syringe.
    "ml_per_l": Unit(symbol="mL/L", digits=2),
    "ml_per_m2": Unit(
        symbol="mL/m²",
        digits=0,
        us_symbol="fl oz/ft²",
        us_digits=2,
        us_per_base=M2_PER_FT2 / ML_PER_US_FL_OZ,
    ),
    "m_per_s": Unit(
        symbol="m/s",
        digits=1,
        us_symbol="ft/min",
        us_digits=0,
        us_per_base=60 * 1000 / MM_PER_INCH / 12,
    ),
    "mg_per_l": Unit(symbol="mg/L", digits=0),
    "mg_per_m2": Unit(symbol="mg/m²", digits=1),
    "g_per_ml": Unit(symbol="g/mL", digits=4),
    "kg": Unit(symbol="kg", digits=2),
    "g": Unit(symbol="g", digits=1),
    "kpa": Unit(symbol="kPa", digits=2),
    "min": Unit(symbol="min", digits=0),
    # A time set for one panel: half a minute counts.
    "min_each": Unit(symbol="min", digits=1),
    "wipe_ml_per_m2": Unit(
        symbol="mL/m²",
        digits=1,
        us_symbol="fl oz/ft²",
        us_digits=3,
        us_per_base=M2_PER_FT2 / ML_PER_US_FL_OZ,
    ),
    "h": Unit(symbol="h", digits=1),
    "days": Unit(symbol="days", digits=0),
    "per_h": Unit(symbol="an hour", digits=1),
}


@dataclass(frozen=True, kw_only=True)
class Shown:
    """A value as a reader sees it: rounded number and symbol."""

    number: str
    symbol: str

    def __str__(self) -> str:
        return f"{self.number} {self.symbol}".rstrip()


def shown(value: float, unit: str, *, system: System = System.METRIC) -> Shown:
    """A base-unit value in the shop's units, rounded once.

    Raises KeyError for an unknown unit.

    >>> str(shown(950, "ml", system=System.US))
    '32.12 fl oz'
    >>> str(shown(25, "degc", system=System.US))
    '77 °F'
    >>> str(shown(5.74, "m", system=System.US)), str(shown(5.74, "m"))
    ('18 ft 10 in', '5.74 m')
    """
    known = UNITS[unit]
    if system is System.US and known.us_symbol:
        number = value * known.us_per_base + known.us_offset
        if known.in_feet and math.isfinite(number):
            return _feet_and_inches(number)
        return Shown(number=_trim(number, known.us_digits), symbol=known.us_symbol)
    digits = 0 if abs(value) >= known.whole_from else known.digits
    return Shown(number=_trim(value, digits), symbol=known.symbol)


def _feet_and_inches(length_ft: float) -> Shown:
    inches = round(length_ft * INCHES_PER_FOOT)
    feet, rest = divmod(abs(inches), INCHES_PER_FOOT)
    sign = "-" if inches < 0 else ""
    if feet and not rest:
        return Shown(number=f"{sign}{feet}", symbol="ft")
    number = f"{feet} ft {rest}" if feet else str(rest)
    return Shown(number=sign + number, symbol="in")


def to_type(value: float, unit: str, *, system: System = System.METRIC) -> str:
    """A base-unit value as it is typed: one number in the unit beside the field.

    >>> to_type(5.74, "m", system=System.US)
    '18.83'
    """
    known = UNITS[unit]
    if system is System.US and known.us_symbol:
        number = value * known.us_per_base + known.us_offset
        return _trim(number, known.us_digits)
    return shown(value, unit, system=system).number


def to_base(value: float, unit: str, *, system: System) -> float:
    """A value typed in the shop's units, in the base unit.

    >>> round(to_base(77, "degc", system=System.US), 6)
    25.0
    """
    known = UNITS[unit]
    if system is System.US and known.us_symbol:
        return (value - known.us_offset) / known.us_per_base
    return value


def _trim(value: float, digits: int) -> str:
    if math.isnan(value):
        return "–"
    text = f"{value:.{digits}f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return "0" if text == "-0" else text
