"""What the height above the sea does to vapour and flash point (pure)."""

from __future__ import annotations

from mixing.climate.air import standard_pressure_pa
from mixing.limits import FLASH_POINT_C, HEIGHT_M
from mixing.safety.bounds import between
from mixing.safety.ventilation import ATMOSPHERE_KPA
from shopapp.figures import Figure, computed, formula

FLASH_K_PER_KPA = 0.25


@formula("height.air_pressure_kpa")
def air_pressure_kpa(*, height_m: float) -> float:
    """Usual air pressure where the shop stands.

        P = 101.325 * (1 - 2.25577e-5 * height)^5.2559

    height_m  height above the sea, m, -400 to 4500
    Not for:  today's weather, which moves it by a few per cent.
    Source:   see mixing.climate.air.standard_pressure_pa

    >>> round(air_pressure_kpa(height_m=2000), 1)
    79.5
    """
    between(
        height_m,
        low=HEIGHT_M.low,
        high=HEIGHT_M.high,
        what="The height above the sea",
        unit="m",
        remedy="Check it in shop settings, vapor.",
    )
    return standard_pressure_pa(altitude_m=height_m) / 1000


@formula("height.flash_at_pressure_c")
def flash_at_pressure_c(*, flash_point_c: float, pressure_kpa: float) -> float:
    """Where a liquid flashes in thinner air: lower than the standard value.

        flash = flash at 101.3 kPa - 0.25 * (101.325 - pressure)

    flash_point_c  at standard pressure, °C
    pressure_kpa   air pressure where it is used, kPa, 50 to 120
    Not for:       the category: the rules class by the value at standard pressure.
    Source:        pressure correction of the closed-cup test standards, from memory

    >>> round(flash_at_pressure_c(flash_point_c=31.0, pressure_kpa=79.5), 1)
    25.5
    """
    between(
        flash_point_c,
        low=FLASH_POINT_C.low,
        high=FLASH_POINT_C.high,
        what="The flash point",
        unit="°C",
        remedy="Read it in section 9 of the data sheet.",
    )
    between(
        pressure_kpa,
        low=50,
        high=120,
        what="The air pressure",
        unit="kPa",
        remedy="Leave it at 101.325 kPa when it is not known.",
    )
    return flash_point_c - FLASH_K_PER_KPA * (ATMOSPHERE_KPA - pressure_kpa)


def pressure_figure(*, height_m: float) -> Figure:
    """The air pressure of the shop, as a figure.

        air_pressure_kpa of the height

    height_m  height above the sea, m
    Not for:  a barometer's reading.
    Source:   see air_pressure_kpa

    >>> pressure_figure(height_m=0).unit
    'kpa'
    """
    return computed(air_pressure_kpa, "kpa", height_m=height_m)
