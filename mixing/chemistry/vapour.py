"""What stands in the air above a still liquid of isopropanol and water (pure)."""

from __future__ import annotations

import math

from mixing.chemistry.bounds import within
from mixing.tables import constant
from shopapp.figures import formula

KELVIN = 273.15

_ALCOHOL_MOLAR = constant("isopropanol_molar_mass_g_per_mol")
_WATER_MOLAR = constant("water_molar_mass_g_per_mol")
_ANTOINE = tuple(constant(f"isopropanol_antoine_{letter}") for letter in "abc")
_HENRY = tuple(constant(f"isopropanol_henry_{letter}") for letter in "ab")
_LN_WATER_LIMIT = math.log(constant("water_limit_activity_in_isopropanol"))


@formula("vapour.mole_fraction")
def mole_fraction(*, mass_fraction: float) -> float:
    """Mole fraction of isopropanol in a solution with water.

        x = (w / 60.095) / (w / 60.095 + (1 - w) / 18.0153)

    mass_fraction  isopropanol by mass, 0 to 1
    Not for:       solutions with a third part that matters (glycol, ethanol).
    Source: definition; molar masses as packed in the chemicals 1.5.2 library.

    >>> round(mole_fraction(mass_fraction=0.6279), 4)
    0.3359
    """
    within(mass_fraction, what="The mass fraction", low=0, high=1, unit="")
    alcohol = mass_fraction / _ALCOHOL_MOLAR
    return alcohol / (alcohol + (1 - mass_fraction) / _WATER_MOLAR)


@formula("vapour.vapour_pressure_kpa")
def vapour_pressure_kpa(*, temp_c: float) -> float:
    """Vapour pressure of pure isopropanol.

        log10(p / Pa) = 10.24268 - 1580.92 / (T / K - 53.54)

    temp_c   temperature of the liquid, °C, 0 to 100; the constants hold from 8 to 100
    Not for: mixtures (see partial_pressure_kpa) or other alcohols.
    Source: B. E. Poling, J. M. Prausnitz, J. P. O'Connell, The Properties of Gases and
        Liquids, 5th ed. (2001), as packed in the chemicals 1.5.2 library.

    >>> round(vapour_pressure_kpa(temp_c=20), 2)
    4.41
    """
    within(temp_c, what="The temperature of the liquid", low=0, high=100, unit="°C")
    a, b, c = _ANTOINE
    return float(10 ** (a - b / (temp_c + KELVIN + c))) / 1000


@formula("vapour.henry_constant_kpa")
def henry_constant_kpa(*, temp_c: float) -> float:
    """Henry constant of isopropanol in water, pressure over mole fraction.

        ln(H / Pa) = 35.263809 - 7287.1648 / (T / K)

    temp_c   temperature of the liquid, °C, 0 to 100
    Not for: strong solutions; published values scatter from 45 to 88 kPa at 25 °C.
    Source: R. Sander, compilation of Henry's law constants, as packed in thermo 0.6.1.

    >>> round(henry_constant_kpa(temp_c=25), 1)
    50.1
    """
    within(temp_c, what="The temperature of the liquid", low=0, high=100, unit="°C")
    a, b = _HENRY
    return math.exp(a + b / (temp_c + KELVIN)) / 1000


@formula("vapour.activity_coefficient")
def activity_coefficient(*, mole_fraction: float, temp_c: float) -> float:
    """How much more readily isopropanol leaves water than an ideal mix would let it.

        ln gamma = A / (1 + A x / (B (1 - x)))^2,  A = ln(H(T) / p(T)),  B = ln 3.3

    mole_fraction  isopropanol, 0 to 1
    temp_c         temperature of the liquid, °C, 0 to 100
    Not for:       design of a still; dilute limits scatter by a third between sources.
    Source: van Laar's equation; A from R. Sander's Henry constant and Poling's vapour
        pressure; B our choice between UNIFAC (3.25) and modified UNIFAC (3.38).

    >>> round(activity_coefficient(mole_fraction=0, temp_c=25), 1)
    8.3
    """
    within(mole_fraction, what="The mole fraction", low=0, high=1, unit="")
    if mole_fraction == 1:
        return 1.0
    a = _ln_alcohol_limit(temp_c)
    ratio = a * mole_fraction / (_LN_WATER_LIMIT * (1 - mole_fraction))
    return math.exp(a / (1 + ratio) ** 2)


@formula("vapour.water_activity_coefficient")
def water_activity_coefficient(*, mole_fraction: float, temp_c: float) -> float:
    """How much more readily water leaves the mix than an ideal one would let it.

        ln gamma_w = B / (1 + B (1 - x) / (A x))^2,  A and B as in activity_coefficient

    mole_fraction  isopropanol, 0 to 1
    temp_c         temperature of the liquid, °C, 0 to 100
    Not for:       design of a still.
    Source: van Laar's equation, the other half of activity_coefficient.

    >>> water_activity_coefficient(mole_fraction=0, temp_c=25)
    1.0
    """
    within(mole_fraction, what="The mole fraction", low=0, high=1, unit="")
    if mole_fraction == 0:
        return 1.0
    a = _ln_alcohol_limit(temp_c)
    ratio = _LN_WATER_LIMIT * (1 - mole_fraction) / (a * mole_fraction)
    return math.exp(_LN_WATER_LIMIT / (1 + ratio) ** 2)


@formula("vapour.partial_pressure_kpa")
def partial_pressure_kpa(*, mass_fraction: float, temp_c: float) -> float:
    """Pressure of isopropanol vapour right above a still solution.

        p_A = x * gamma(x, T) * p(T)

    mass_fraction  isopropanol by mass, 0 to 1
    temp_c         temperature of the liquid, °C, 0 to 100
    Not for:       spray mist, or air away from the surface.
    Source: modified Raoult's law with activity_coefficient and vapour_pressure_kpa.

    >>> round(partial_pressure_kpa(mass_fraction=1, temp_c=20), 2)
    4.41
    """
    x = mole_fraction(mass_fraction=mass_fraction)
    gamma = activity_coefficient(mole_fraction=x, temp_c=temp_c)
    return x * gamma * vapour_pressure_kpa(temp_c=temp_c)


def _ln_alcohol_limit(temp_c: float) -> float:
    henry = henry_constant_kpa(temp_c=temp_c)
    return math.log(henry / vapour_pressure_kpa(temp_c=temp_c))
