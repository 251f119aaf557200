"""Water leaving a wet surface by four published formulas, and how it cools (pure).

Negative rates mean that water condenses; `drying` turns them into 0 or a sentence.
"""

from __future__ import annotations

from collections.abc import Callable

from mixing.climate.air import (
    dry_air_density_kg_per_m3,
    humidity_ratio,
    saturation_pressure_pa,
    vapour_pressure_pa,
)
from shopapp.figures import formula

PANEL_LENGTH_M = 0.5
"""Length of the air's path over a panel; our choice, a door's height."""

RADIATION_W_PER_M2_K = 5.1
BACK_SIDE_W_PER_M2_K = 6.0
"""Heat that reaches the film by radiation and through the skin; assumed."""


@formula("surface.engineering_rate")
def engineering_rate(
    *, water_c: float, air_c: float, rh_pct: float, air_m_per_s: float
) -> float:
    """Evaporation by the popular engineering formula, kg/(m2 h).

        g = (25 + 19 v) (x_s - x)        x in kg water per kg dry air

    water_c      temperature of the water's surface, °C
    air_c        air temperature, °C
    rh_pct       relative humidity, %
    air_m_per_s  air speed, m/s
    Not for:     still air, where it is about 2.3 times what pool tests gave.
    Source: Engineering ToolBox, Evaporation from water surfaces (empirical).

    >>> round(engineering_rate(water_c=28, air_c=28, rh_pct=50, air_m_per_s=0), 3)
    0.307
    """
    surface = humidity_ratio(air_c=water_c, rh_pct=100)
    return (25 + 19 * air_m_per_s) * (
        surface - humidity_ratio(air_c=air_c, rh_pct=rh_pct)
    )


@formula("surface.pool_rate")
def pool_rate(
    *, water_c: float, air_c: float, rh_pct: float, air_m_per_s: float
) -> float:
    """Evaporation by the form long used for swimming pools, kg/(m2 h).

        g = 3600 (0.0885 + 0.0779 v) (p_s - p) / Y        kPa, kJ/kg

    water_c      temperature of the water's surface, °C
    air_c        air temperature, °C
    rh_pct       relative humidity, %
    air_m_per_s  air speed, m/s
    Not for:     undisturbed water, where 74 % of it was measured.
    Source: ASHRAE Transactions 104 (1998) paper 4146, printed there as
        W = (95 + 0.425 v) (p_w - p_a) / Y in lb/(h ft2), ft/min and inHg.

    >>> round(pool_rate(water_c=28, air_c=28, rh_pct=50, air_m_per_s=0), 3)
    0.248
    """
    driving_kpa = _pull_pa(water_c, air_c, rh_pct) / 1000
    return 3600 * (0.0885 + 0.0779 * air_m_per_s) * driving_kpa / _latent(water_c)


@formula("surface.still_rate")
def still_rate(
    *, water_c: float, air_c: float, rh_pct: float, air_m_per_s: float = 0.0
) -> float:
    """Evaporation into still air by free convection, kg/(m2 h).

        g = 35 rho_s (rho - rho_s)^(1/3) (x_s - x), at least 5e-5 (p_s - p)

    water_c      temperature of the water's surface, °C
    air_c        air temperature, °C
    rh_pct       relative humidity, %
    air_m_per_s  not used: the air is still
    Not for:     a fan on the panel.
    Source: ASHRAE Transactions 120(2) SE-14-001 (2014), formula and floor from memory;
        checked against a published table that fits it to 0.3 %.

    >>> round(still_rate(water_c=28, air_c=28, rh_pct=50), 3)
    0.136
    """
    del air_m_per_s
    floor = 5e-5 * _pull_pa(water_c, air_c, rh_pct)
    surface = dry_air_density_kg_per_m3(air_c=water_c, rh_pct=100)
    room = dry_air_density_kg_per_m3(air_c=air_c, rh_pct=rh_pct)
    if room <= surface:
        return floor
    driving = humidity_ratio(air_c=water_c, rh_pct=100) - humidity_ratio(
        air_c=air_c, rh_pct=rh_pct
    )
    return float(max(floor, 35 * surface * (room - surface) ** (1 / 3) * driving))


@formula("surface.plate_rate")
def plate_rate(
    *, water_c: float, air_c: float, rh_pct: float, air_m_per_s: float
) -> float:
    """Evaporation from an upright plate by the analogy of heat and mass, kg/(m2 h).

        g = 3600 h_m (c_s - c),  Sh = (forced^3 + free^3)^(1/3),
        forced = 0.664 Re^(1/2) Sc^(1/3),  free = 0.59 (Gr Sc)^(1/4)

    water_c      temperature of the water's surface, °C
    air_c        air temperature, °C
    rh_pct       relative humidity, %
    air_m_per_s  air speed, m/s
    Not for:     a roof or bonnet with a fan straight above it.
    Source: flat-plate and free-convection correlations of heat-transfer textbooks,
        constants from memory; plate 0.5 m long.

    >>> round(plate_rate(water_c=28, air_c=28, rh_pct=50, air_m_per_s=0), 3)
    0.1
    """
    driving = vapour_kg_per_m3(air_c=water_c, rh_pct=100) - vapour_kg_per_m3(
        air_c=air_c, rh_pct=rh_pct
    )
    return 3600 * _transfer_m_per_s(water_c, air_c, rh_pct, air_m_per_s) * driving


@formula("surface.cooled_plate_rate")
def cooled_plate_rate(
    *, panel_c: float, air_c: float, rh_pct: float, air_m_per_s: float
) -> float:
    """Evaporation from an upright plate whose film cools by it, kg/(m2 h).

        g = 3600 h_m (c_s(T_film) - c),  h_m as in plate_rate at the panel's temperature

    panel_c      temperature of the panel behind the film, °C
    air_c        air temperature, °C
    rh_pct       relative humidity, %
    air_m_per_s  air speed, m/s
    Not for:     the first seconds, while the skin gives off its own heat.
    Source: plate_rate on film_temperature_c; h_m is kept at the panel's temperature, or
        a film whose chill balances its moisture would falsely stand still.

    >>> state = {"air_c": 20, "rh_pct": 50, "air_m_per_s": 0.1}
    >>> cooled_plate_rate(panel_c=20, **state) < plate_rate(water_c=20, **state)
    True
    """
    film_c = film_temperature_c(
        panel_c=panel_c, air_c=air_c, rh_pct=rh_pct, air_m_per_s=air_m_per_s
    )
    driving = vapour_kg_per_m3(air_c=film_c, rh_pct=100) - vapour_kg_per_m3(
        air_c=air_c, rh_pct=rh_pct
    )
    return 3600 * _transfer_m_per_s(panel_c, air_c, rh_pct, air_m_per_s) * driving


@formula("surface.film_temperature_c")
def film_temperature_c(
    *, panel_c: float, air_c: float, rh_pct: float, air_m_per_s: float
) -> float:
    """Temperature of a drying film, cooled by its own evaporation.

        (h + 5.1) (T_air - T) + 6 (T_panel - T) = g(T) * Y(T),  h = h_m rho c_p Le^(2/3)

    panel_c      temperature of the panel behind the film, °C
    air_c        air temperature, °C
    rh_pct       relative humidity, %
    air_m_per_s  air speed, m/s
    Not for:     the first seconds, while the skin gives off its own heat.
    Source: steady energy balance with the Lewis analogy; 5.1 W/m2K by radiation and
        6 W/m2K from the back are assumed, not measured.

    >>> film_temperature_c(panel_c=20, air_c=20, rh_pct=50, air_m_per_s=0.1) < 20
    True
    """

    def heat_w_per_m2(film_c: float) -> float:
        gained = (_convection_w(h_m) + RADIATION_W_PER_M2_K) * (air_c - film_c)
        gained += BACK_SIDE_W_PER_M2_K * (panel_c - film_c)
        lost_kg = h_m * (vapour_kg_per_m3(air_c=film_c, rh_pct=100) - room_kg)
        return gained - 1000 * lost_kg * _latent(film_c)

    room_kg = vapour_kg_per_m3(air_c=air_c, rh_pct=rh_pct)
    h_m = _transfer_m_per_s(panel_c, air_c, rh_pct, air_m_per_s)
    # A film is never warmer than the warmer of its neighbours.
    return _zero(heat_w_per_m2, low=min(panel_c, air_c) - 25, high=max(panel_c, air_c))


@formula("surface.vapour_kg_per_m3")
def vapour_kg_per_m3(*, air_c: float, rh_pct: float) -> float:
    """Water vapour in a cubic metre of air.

        c = p_w / (461.52 J/(kg K) * T)

    air_c    air temperature, °C, -40 to 100
    rh_pct   relative humidity, %, 0 to 100
    Not for: pressures far from atmospheric.
    Source: ideal gas law, 8.314462 J/(mol K) over 0.0180153 kg/mol.

    >>> round(vapour_kg_per_m3(air_c=25, rh_pct=100), 4)
    0.023
    """
    pressure = vapour_pressure_pa(air_c=air_c, rh_pct=rh_pct)
    return pressure / (461.52 * (air_c + 273.15))


def _pull_pa(water_c: float, air_c: float, rh_pct: float) -> float:
    """Vapour pressure at the surface over that of the room, Pa."""
    room = vapour_pressure_pa(air_c=air_c, rh_pct=rh_pct)
    return saturation_pressure_pa(air_c=water_c) - room


def _latent(water_c: float) -> float:
    """Heat that evaporation takes, kJ/kg: steam table values, a line to 0.1 %."""
    return 2501 - 2.381 * water_c


def _transfer_m_per_s(
    water_c: float, air_c: float, rh_pct: float, speed: float
) -> float:
    """Mass transfer coefficient of an upright plate: forced and free flow by cubes."""
    kelvin = (water_c + air_c) / 2 + 273.15
    viscosity = 1.516e-5 * (kelvin / 293.15) ** 1.75
    diffusion = 2.5e-5 * (kelvin / 298.15) ** 1.75
    schmidt = viscosity / diffusion
    reynolds = speed * PANEL_LENGTH_M / viscosity
    if reynolds < 5e5:
        forced = 0.664 * reynolds**0.5 * schmidt ** (1 / 3)
    else:
        forced = (0.037 * reynolds**0.8 - 871) * schmidt ** (1 / 3)
    lift = abs(_moist_density(water_c, 100) / _moist_density(air_c, rh_pct) - 1)
    grashof = 9.81 * lift * PANEL_LENGTH_M**3 / viscosity**2
    free = 0.59 * (grashof * schmidt) ** 0.25
    return float((forced**3 + free**3) ** (1 / 3) * diffusion / PANEL_LENGTH_M)


def _moist_density(air_c: float, rh_pct: float) -> float:
    dry = dry_air_density_kg_per_m3(air_c=air_c, rh_pct=rh_pct)
    return dry + vapour_kg_per_m3(air_c=air_c, rh_pct=rh_pct)


def _convection_w(h_m: float) -> float:
    """Heat transfer coefficient that goes with a mass transfer coefficient, W/m2K.

    Lewis: h = h_m rho c_p Le^(2/3), both diffusivities rising alike with temperature.
    """
    return float(h_m * 1.19 * 1007 * (2.2e-5 / 2.5e-5) ** (2 / 3))


def _zero(f: Callable[[float], float], *, low: float, high: float) -> float:
    """Where a falling function crosses 0, to 0.001, by false position (Illinois)."""
    at_low, at_high = f(low), f(high)
    if at_high >= 0:
        return high
    if at_low <= 0:
        return low
    middle, before = high, low
    while abs(middle - before) > 1e-3:
        before = middle
        middle = (low * at_high - high * at_low) / (at_high - at_low)
        at_middle = f(middle)
        if at_middle == 0:
            return middle
        if at_middle > 0:
            low, at_low, at_high = middle, at_middle, at_high / 2
        else:
            high, at_high, at_low = middle, at_middle, at_low / 2
    return middle
