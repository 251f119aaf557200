"""Moist air: dew point, wet bulb, water content (pure).

The one owner of psychrolib. Its unit system is a global of the process, so it is set
here once, at import, and nobody else may touch it.
"""

from __future__ import annotations

import psychrolib

from mixing.chemistry.bounds import within
from shopapp.figures import formula

psychrolib.SetUnitSystem(psychrolib.SI)

SEA_LEVEL_PA = 101_325.0


@formula("air.saturation_pressure_pa")
def saturation_pressure_pa(*, air_c: float) -> float:
    """Vapour pressure of air that can hold no more water.

        ln p_ws = C8 / T + C9 + C10 T + C11 T^2 + C12 T^3 + C13 ln T      (over water)

    air_c    temperature, °C, -100 to 200; over ice below 0.01
    Not for: pressures far from atmospheric.
    Source: ASHRAE Handbook Fundamentals (2017), ch. 1, equations 5 and 6, as coded in
        psychrolib 2.5.0.

    >>> round(saturation_pressure_pa(air_c=25), 1)
    3169.2
    """
    within(air_c, what="The temperature", low=-100, high=200, unit="°C")
    return float(psychrolib.GetSatVapPres(air_c))


@formula("air.vapour_pressure_pa")
def vapour_pressure_pa(*, air_c: float, rh_pct: float) -> float:
    """Pressure of the water vapour in the air.

        p_w = RH / 100 * p_ws(T)

    air_c    air temperature, °C, -40 to 100
    rh_pct   relative humidity, %, 0 to 100
    Not for: pressures far from atmospheric.
    Source: ASHRAE Handbook Fundamentals (2017), ch. 1, definition of relative humidity.

    >>> round(vapour_pressure_pa(air_c=25, rh_pct=50))
    1585
    """
    _check(air_c, rh_pct)
    return saturation_pressure_pa(air_c=air_c) * rh_pct / 100


@formula("air.humidity_ratio")
def humidity_ratio(
    *, air_c: float, rh_pct: float, pressure_pa: float = SEA_LEVEL_PA
) -> float:
    """Water in the air, kg per kg of dry air.

        W = 0.621945 * p_w / (P - p_w)

    air_c        air temperature, °C, -40 to 100
    rh_pct       relative humidity, %, 0 to 100
    pressure_pa  air pressure, Pa, 50 000 to 110 000
    Not for:     better than 0.5 %: the air is taken as an ideal gas.
    Source: ASHRAE Handbook Fundamentals (2017), ch. 1, equation 20.

    >>> round(humidity_ratio(air_c=25, rh_pct=50), 5)
    0.00988
    """
    p_w = vapour_pressure_pa(air_c=air_c, rh_pct=rh_pct)
    _check_pressure(pressure_pa)
    if p_w >= pressure_pa:
        raise ValueError("Air this hot and moist is steam: check the reading.")
    return 0.621945 * p_w / (pressure_pa - p_w)


@formula("air.dew_point_c")
def dew_point_c(*, air_c: float, rh_pct: float) -> float:
    """Temperature below which the air leaves water on a panel.

        p_ws(T_dew) = RH / 100 * p_ws(T_air)        solved for T_dew

    air_c    air temperature, °C, -40 to 100
    rh_pct   relative humidity, %, above 0 to 100
    Not for: frost on a cold panel, where the film maker's limits come first.
    Source: ASHRAE Handbook Fundamentals (2017), ch. 1, solved by psychrolib 2.5.0.

    >>> round(dew_point_c(air_c=30, rh_pct=55), 1)
    20.0
    """
    _check(air_c, rh_pct)
    if rh_pct == 0:
        raise ValueError(
            "Air without any moisture has no dew point: check the reading."
        )
    if rh_pct == 100:
        return float(air_c)
    return float(psychrolib.GetTDewPointFromRelHum(air_c, rh_pct / 100))


@formula("air.wet_bulb_c")
def wet_bulb_c(
    *, air_c: float, rh_pct: float, pressure_pa: float = SEA_LEVEL_PA
) -> float:
    """Temperature that a wet surface in moving air cools down to.

        W = ((2501 - 2.326 t*) W_s(t*) - 1.006 (t - t*)) / (2501 + 1.86 t - 4.186 t*)

    air_c        air temperature, °C, -40 to 100
    rh_pct       relative humidity, %, 0 to 100
    pressure_pa  air pressure, Pa, 50 000 to 110 000
    Not for:     a wet panel in still air, which stays warmer.
    Source: ASHRAE Handbook Fundamentals (2017), ch. 1, equations 33 and 35, solved for
        t* by psychrolib 2.5.0.

    >>> round(wet_bulb_c(air_c=25, rh_pct=50), 1)
    17.9
    """
    _check(air_c, rh_pct)
    _check_pressure(pressure_pa)
    return float(psychrolib.GetTWetBulbFromRelHum(air_c, rh_pct / 100, pressure_pa))


@formula("air.dry_air_density_kg_per_m3")
def dry_air_density_kg_per_m3(
    *, air_c: float, rh_pct: float, pressure_pa: float = SEA_LEVEL_PA
) -> float:
    """Dry air in a cubic metre of moist air.

        rho_dry = (P - p_w) / (287.042 * T)

    air_c        air temperature, °C, -40 to 100
    rh_pct       relative humidity, %, 0 to 100
    pressure_pa  air pressure, Pa, 50 000 to 110 000
    Not for:     the density of the moist air itself.
    Source: ASHRAE Handbook Fundamentals (2017), ch. 1, ideal gas, R 287.042 J/(kg K).

    >>> round(dry_air_density_kg_per_m3(air_c=20, rh_pct=0), 3)
    1.204
    """
    p_w = vapour_pressure_pa(air_c=air_c, rh_pct=rh_pct)
    _check_pressure(pressure_pa)
    return (pressure_pa - p_w) / (287.042 * (air_c + 273.15))


@formula("air.standard_pressure_pa")
def standard_pressure_pa(*, altitude_m: float) -> float:
    """Usual air pressure at a height above the sea.

        P = 101325 * (1 - 2.25577e-5 * Z)^5.2559

    altitude_m  height above the sea, m, -500 to 5000
    Not for:    today's weather, which moves it by a few per cent.
    Source: ASHRAE Handbook Fundamentals (2017), ch. 1, equation 3.

    >>> round(standard_pressure_pa(altitude_m=500))
    95461
    """
    within(altitude_m, what="The height above the sea", low=-500, high=5000, unit="m")
    return float(psychrolib.GetStandardAtmPressure(altitude_m))


def _check(air_c: float, rh_pct: float) -> None:
    within(air_c, what="The air temperature", low=-40, high=100, unit="°C")
    within(rh_pct, what="The humidity", low=0, high=100, unit="%")


def _check_pressure(pressure_pa: float) -> None:
    within(pressure_pa, what="The air pressure", low=50e3, high=110e3, unit="Pa")
