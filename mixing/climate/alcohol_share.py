"""How much sooner a film dries for the alcohol in it (pure)."""

from __future__ import annotations

from functools import lru_cache

from mixing.chemistry.alcohol import mass_fraction
from mixing.chemistry.bounds import within
from mixing.chemistry.vapour import (
    activity_coefficient,
    mole_fraction,
    vapour_pressure_kpa,
    water_activity_coefficient,
)
from mixing.climate.air import saturation_pressure_pa, vapour_pressure_pa
from shopapp.figures import formula

_ALCOHOL_DIFFUSION, _WATER_DIFFUSION = 0.099, 0.242
"""In air at 20 °C, cm²/s: isopropanol by Fuller's method, water common handbook value
(from memory)."""

_MASS_TRANSFER = (_ALCOHOL_DIFFUSION / _WATER_DIFFUSION) ** (2 / 3)
_MOLAR = 60.095 / 18.0153
_STEPS = 24


@formula("alcohol_share.drying_time_ratio")
@lru_cache(maxsize=1024)
def drying_time_ratio(
    *, vv_pct: float, liquid_c: float, air_c: float, rh_pct: float, usable_pct: float
) -> float:
    """Time an alcoholic film needs to lose a share of itself, over plain water's time.

        ratio = sum over small losses dm of dm / loss(of what is left) / sum of dm
        loss = (p_A 60.1 (D_A / D_W)^(2/3) + (a_W p_s - p) 18.0) / ((p_s - p) 18.0)

    vv_pct      alcohol in the solution, % v/v, 0 to 100
    liquid_c    temperature of the film, °C, 0 to 80
    air_c       air temperature, °C, 0 to 60
    rh_pct      relative humidity, %, 0 to 100, dry enough for water to leave
    usable_pct  share of the film that leaves, % by mass, 1 to 100
    Not for:    the cooling that the faster loss brings, which slows it a little.
    Source: mass balance in 24 steps over modified Raoult's law
        (mixing.chemistry.vapour) and the flat plate's D^(2/3); a measured spill of a
        1:1 mix agrees within a factor of 2 (US National Library of Medicine, HSDB).

    >>> drying_time_ratio(vv_pct=0, liquid_c=22, air_c=22, rh_pct=50, usable_pct=50)
    1.0
    """
    _check(vv_pct, liquid_c, air_c, rh_pct)
    within(usable_pct, what="The usable share", low=1, high=100, unit="%")
    if vv_pct == 0:
        return 1.0
    air = _pressures(liquid_c, air_c, rh_pct)
    _, plain = _losses(0.0, *air)
    if plain <= 0:
        raise ValueError("In this air water does not leave the film at all.")
    alcohol = mass_fraction(vv_pct=vv_pct)
    left, step, time = 1.0, usable_pct / 100 / _STEPS, 0.0
    for _ in range(_STEPS):
        gone_alcohol, gone_water = _losses(min(1.0, max(0.0, alcohol / left)), *air)
        rate = gone_alcohol + gone_water
        time += step / rate
        # Water from the air may enter a strong film, so alcohol can lose more than
        # the step; it never loses more than is there.
        alcohol = max(0.0, alcohol - step * gone_alcohol / rate)
        left = max(1e-9, left - step)
        alcohol = min(alcohol, left)
    return time * plain / (usable_pct / 100)


def _check(vv_pct: float, liquid_c: float, air_c: float, rh_pct: float) -> None:
    within(vv_pct, what="The strength", low=0, high=100, unit="% v/v")
    within(liquid_c, what="The film", low=0, high=80, unit="°C")
    within(air_c, what="The air temperature", low=0, high=60, unit="°C")
    within(rh_pct, what="The humidity", low=0, high=100, unit="%")


def _pressures(
    liquid_c: float, air_c: float, rh_pct: float
) -> tuple[float, float, float, float]:
    """Film temperature, pure vapour pressures of alcohol and water, room's, kPa."""
    return (
        liquid_c,
        vapour_pressure_kpa(temp_c=liquid_c),
        saturation_pressure_pa(air_c=liquid_c) / 1000,
        vapour_pressure_pa(air_c=air_c, rh_pct=rh_pct) / 1000,
    )


def _losses(
    share: float, liquid_c: float, alcohol_kpa: float, water_kpa: float, room_kpa: float
) -> tuple[float, float]:
    """Losses of alcohol and water by mass, in one arbitrary unit."""
    x = mole_fraction(mass_fraction=share)
    gamma = activity_coefficient(mole_fraction=x, temp_c=liquid_c)
    gamma_water = water_activity_coefficient(mole_fraction=x, temp_c=liquid_c)
    alcohol = x * gamma * alcohol_kpa * _MOLAR * _MASS_TRANSFER
    return alcohol, (1 - x) * gamma_water * water_kpa - room_kpa
