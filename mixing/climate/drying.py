"""How fast a wet film dries, and how long it stays workable (pure).

Absolute minutes of the published formulas differ by a factor of 3 to 6; their ratio to
a reference state agrees far better. So the index is the result, minutes are a range,
and a shop's own test patch turns the index into its own minutes.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache

from mixing.chemistry.bounds import above_zero, within
from mixing.climate.air import (
    dry_air_density_kg_per_m3,
    humidity_ratio,
    saturation_pressure_pa,
    vapour_pressure_pa,
)
from mixing.climate.alcohol_share import drying_time_ratio
from shopapp.figures import Figure
from shopapp.say import Say, say

MODELS = ("engineering", "pool", "still", "plate")

REFERENCE_AIR_C, REFERENCE_RH_PCT, REFERENCE_AIR_M_PER_S = 20.0, 50.0, 0.1

PANEL_LENGTH_M = 0.5
"""Length of the air's path over a panel; our choice, a door's height."""

RADIATION_W_PER_M2_K = 5.1
BACK_SIDE_W_PER_M2_K = 6.0
"""Heat that reaches the film by radiation and through the skin; assumed."""


@dataclass(frozen=True, kw_only=True)
class Patch:
    """A shop's own test: how long a sprayed patch stayed workable, and in what air."""

    minutes: float
    air_c: float
    rh_pct: float
    panel_c: float
    air_m_per_s: float = REFERENCE_AIR_M_PER_S
    vv_pct: float = 0.0


@dataclass(frozen=True, kw_only=True)
class OpenTime:
    """How long the wet film stays workable: an estimate, as a range.

    index          time relative to 20 °C, 50 %, 0.1 m/s and plain water; None when the
                   film does not dry, and so are all other numbers
    fast_min to slow_min   the range, minutes; the shop's own where `calibrated`
    says           what a person is told
    """

    index: float | None
    index_low: float | None
    index_high: float | None
    fast_min: float | None
    central_min: float | None
    slow_min: float | None
    calibrated: bool
    says: tuple[Say, ...]
    inputs: tuple[tuple[str, float], ...]

    @property
    def dries(self) -> bool:
        """Whether water leaves the film at all."""
        return self.index is not None

    @property
    def figure(self) -> Figure | None:
        """The central minutes with their range, openable; None when it does not dry."""
        if self.central_min is None:
            return None
        return Figure(
            value=self.central_min,
            unit="min",
            made_by="mixing.climate.drying.open_time",
            inputs=self.inputs,
            low=self.fast_min,
            high=self.slow_min,
        )


def evaporation_kg_per_m2_h(
    *, water_c: float, air_c: float, rh_pct: float, air_m_per_s: float, model: str
) -> float:
    """Water that leaves a wet surface in an hour; 0 where it would condense instead.

        engineering: g = (25 + 19 v) (x_s - x)
        pool:        g = 3600 (0.0885 + 0.0779 v) (p_s - p) / Y              kPa, kJ/kg
        still:       g = 35 rho_s (rho - rho_s)^(1/3) (x_s - x), at least 5e-5 (p_s - p)
        plate:       g = 3600 h_m (c_s - c), Sh = (forced^3 + free^3)^(1/3)

    water_c      temperature of the water's surface, °C, 0 to 80
    air_c        air temperature, °C, 0 to 60
    rh_pct       relative humidity, %, 0 to 100
    air_m_per_s  air speed over the surface, m/s, 0 to 10; not used by "still"
    model        "engineering", "pool", "still" or "plate"
    Not for:     alcohol; liquid under laid film; one true figure: they differ by 3.
    Source: engineering: Engineering ToolBox, Evaporation from water surfaces; pool:
        ASHRAE Transactions 104 (1998) paper 4146; still: ASHRAE Transactions 120(2)
        SE-14-001 (2014), formula from memory, checked against a published table; plate:
        flat-plate and free-convection correlations of heat-transfer textbooks with the
        Lewis analogy, constants from memory.

    >>> round(evaporation_kg_per_m2_h(
    ...     water_c=28, air_c=28, rh_pct=50, air_m_per_s=0, model="still"), 3)
    0.136
    """
    if model not in MODELS:
        raise ValueError(f"The drying model must be one of {', '.join(MODELS)}.")
    _check_state(air_c=air_c, rh_pct=rh_pct, air_m_per_s=air_m_per_s)
    within(water_c, what="The water's temperature", low=0, high=80, unit="°C")
    rate = _RATE[model](water_c, air_c, rh_pct, air_m_per_s)
    return max(0.0, rate)


def film_temperature_c(
    *, panel_c: float, air_c: float, rh_pct: float, air_m_per_s: float
) -> float:
    """Temperature of a drying film, cooled by its own evaporation.

        (h + 5.1) (T_air - T) + 6 (T_panel - T) = g(T) * Y(T),  h = h_m rho c_p Le^(2/3)

    panel_c      temperature of the panel behind the film, °C, 0 to 80
    air_c        air temperature, °C, 0 to 60
    rh_pct       relative humidity, %, 0 to 100
    air_m_per_s  air speed, m/s, 0 to 10
    Not for:     the first seconds, while the skin gives off its own heat.
    Source: steady energy balance with the Lewis analogy; 5.1 W/m²K by radiation and
        6 W/m²K from the back are assumed, not measured.

    >>> film_temperature_c(panel_c=20, air_c=20, rh_pct=50, air_m_per_s=0.1) < 20
    True
    """
    _check_state(air_c=air_c, rh_pct=rh_pct, air_m_per_s=air_m_per_s)
    within(panel_c, what="The panel", low=0, high=80, unit="°C")

    def heat_w_per_m2(film_c: float) -> float:
        h_m = _transfer_m_per_s(film_c, air_c, rh_pct, air_m_per_s)
        gained = (_convection_w(h_m) + RADIATION_W_PER_M2_K) * (air_c - film_c)
        gained += BACK_SIDE_W_PER_M2_K * (panel_c - film_c)
        lost_kg = h_m * (_vapour_kg_per_m3(film_c, 100) - room_kg)
        return gained - 1000 * lost_kg * _latent(film_c)

    room_kg = _vapour_kg_per_m3(air_c, rh_pct)
    # A film is never warmer than the warmer of its neighbours.
    return _zero(heat_w_per_m2, low=min(panel_c, air_c) - 25, high=max(panel_c, air_c))


def open_time(
    *,
    air_c: float,
    rh_pct: float,
    panel_c: float | None = None,
    air_m_per_s: float = REFERENCE_AIR_M_PER_S,
    vv_pct: float = 0.0,
    layer_um: float = 75.0,
    usable_pct: float = 50.0,
    patch: Patch | None = None,
) -> OpenTime:
    """How long a sprayed film stays workable, as an index and a range of minutes.

        t = share * layer / g;  index = t / t(20 °C, 50 %, 0.1 m/s);  minutes of a shop
        = minutes of its patch * index / index(patch)

    air_c        air temperature, °C, 0 to 60
    rh_pct       relative humidity, %, 0 to 100
    panel_c      panel temperature, °C, 0 to 80; None means that of the air
    air_m_per_s  air speed over the panel, m/s, 0 to 10
    vv_pct       alcohol in the solution, % v/v, 0 to 100
    layer_um     wet layer, µm, above 0; used without a patch only
    usable_pct   share of it that may leave before one must spray again, %, above 0 to
                 100; the shop's setting, no published value; used without a patch only
    patch        the shop's own test, or None
    Not for:     gel, or liquid under laid film. It is an estimate: the formulas agree
                 on the index within a factor of 1.6, on minutes within 3 to 6.
    Source: fast by "engineering", central by "plate", slow by "plate" on the film as
        cooled by evaporation: see evaporation_kg_per_m2_h and film_temperature_c;
        alcohol by mixing.climate.alcohol_share.drying_time_ratio.

    >>> round(open_time(air_c=20, rh_pct=50).index, 3)
    1.0
    >>> open_time(air_c=20, rh_pct=50, panel_c=5).dries
    False
    """
    above_zero(layer_um, what="The wet layer", unit="µm")
    within(usable_pct, what="The usable share", low=1, high=100, unit="%")
    panel = air_c if panel_c is None else panel_c
    state = (float(panel), float(air_c), float(rh_pct), float(air_m_per_s))
    inputs: tuple[tuple[str, float], ...] = (
        ("air_c", air_c),
        ("rh_pct", rh_pct),
        ("panel_c", panel),
        ("air_m_per_s", air_m_per_s),
        ("vv_pct", vv_pct),
    )
    rates = _rates(*state)
    if min(rates) <= 0:
        return _never_dries(inputs, calibrated=patch is not None)
    ratio = drying_time_ratio(
        vv_pct=vv_pct, liquid_c=panel, air_c=air_c, rh_pct=rh_pct, usable_pct=usable_pct
    )
    indices = _indices(rates, ratio)
    if patch is None:
        # kg/m² of water is mm, so µm / 1000.
        lost = layer_um / 1000 * usable_pct / 100
        minutes = [60 * lost * ratio / rate for rate in rates]
        extra: tuple[tuple[str, float], ...] = (
            ("layer_um", layer_um),
            ("usable_pct", usable_pct),
        )
    else:
        reference_min = reference_minutes(patch=patch, usable_pct=usable_pct)
        minutes = [reference_min * index for index in indices]
        extra = (("reference_min", reference_min),)
    return OpenTime(
        index=indices[1],
        index_low=min(indices),
        index_high=max(indices),
        fast_min=min(minutes),
        central_min=minutes[1],
        slow_min=max(minutes),
        calibrated=patch is not None,
        says=(_range_say(min(minutes), max(minutes), patch is not None),),
        inputs=inputs + extra,
    )


def reference_minutes(*, patch: Patch, usable_pct: float = 50.0) -> float:
    """The shop's minutes at 20 °C, 50 % and 0.1 m/s, from its own test patch.

        t_ref = t_patch / index(patch)

    patch       the test: minutes, air, humidity, panel, air speed, strength
    usable_pct  share of the layer that may leave, %, 1 to 100; counts for alcohol only
    Not for:    a patch that did not dry: it tells nothing.
    Source: definition of the index, see open_time.

    >>> round(reference_minutes(
    ...     patch=Patch(minutes=12, air_c=20, rh_pct=50, panel_c=20)), 6)
    12.0
    """
    above_zero(patch.minutes, what="The minutes of the test patch", unit="min")
    rates = _rates(
        float(patch.panel_c),
        float(patch.air_c),
        float(patch.rh_pct),
        float(patch.air_m_per_s),
    )
    if min(rates) <= 0:
        raise ValueError(
            "In the air of that test a film does not dry: repeat it on a warmer panel."
        )
    ratio = drying_time_ratio(
        vv_pct=patch.vv_pct,
        liquid_c=patch.panel_c,
        air_c=patch.air_c,
        rh_pct=patch.rh_pct,
        usable_pct=usable_pct,
    )
    return patch.minutes / _indices(rates, ratio)[1]


def _check_state(*, air_c: float, rh_pct: float, air_m_per_s: float) -> None:
    within(air_c, what="The air temperature", low=0, high=60, unit="°C")
    within(rh_pct, what="The humidity", low=0, high=100, unit="%")
    within(air_m_per_s, what="The air speed", low=0, high=10, unit="m/s")


@lru_cache(maxsize=1024)
def _rates(
    panel_c: float, air_c: float, rh_pct: float, air_m_per_s: float
) -> tuple[float, float, float]:
    """Loss by the fast, the central and the slow reckoning, kg/(m² h)."""
    _check_state(air_c=air_c, rh_pct=rh_pct, air_m_per_s=air_m_per_s)
    within(panel_c, what="The panel", low=0, high=80, unit="°C")
    cooled_c = film_temperature_c(
        panel_c=panel_c, air_c=air_c, rh_pct=rh_pct, air_m_per_s=air_m_per_s
    )
    return (
        _engineering(panel_c, air_c, rh_pct, air_m_per_s),
        _plate(panel_c, air_c, rh_pct, air_m_per_s),
        _plate(cooled_c, air_c, rh_pct, air_m_per_s),
    )


def _indices(rates: tuple[float, float, float], ratio: float) -> list[float]:
    reference = _rates(
        REFERENCE_AIR_C, REFERENCE_AIR_C, REFERENCE_RH_PCT, REFERENCE_AIR_M_PER_S
    )
    return [ratio * at / rate for at, rate in zip(reference, rates, strict=True)]


def _never_dries(
    inputs: tuple[tuple[str, float], ...], *, calibrated: bool
) -> OpenTime:
    told = say(
        "The film does not dry here: water condenses on the panel. Warm the car or dry "
        "the air."
    )
    return OpenTime(
        index=None,
        index_low=None,
        index_high=None,
        fast_min=None,
        central_min=None,
        slow_min=None,
        calibrated=calibrated,
        says=(told,),
        inputs=inputs,
    )


def _range_say(fast: float, slow: float, calibrated: bool) -> Say:
    if slow > 600:
        return say("Workable for hours: a film hardly dries here (estimate).")
    if calibrated:
        text = "Workable for about {fast} to {slow} min (estimate, by your own patch)."
    else:
        text = "Workable for about {fast} to {slow} min (estimate, no patch yet)."
    return say(text, fast=round(fast), slow=round(slow))


def _ratio(surface_c: float) -> float:
    return humidity_ratio(air_c=surface_c, rh_pct=100)


def _engineering(water_c: float, air_c: float, rh_pct: float, speed: float) -> float:
    room = humidity_ratio(air_c=air_c, rh_pct=rh_pct)
    return (25 + 19 * speed) * (_ratio(water_c) - room)


def _pool(water_c: float, air_c: float, rh_pct: float, speed: float) -> float:
    driving_kpa = _pull_pa(water_c, air_c, rh_pct) / 1000
    return 3600 * (0.0885 + 0.0779 * speed) * driving_kpa / _latent(water_c)


def _still(water_c: float, air_c: float, rh_pct: float, speed: float) -> float:
    del speed  # the formula is for still air
    floor = 5e-5 * _pull_pa(water_c, air_c, rh_pct)
    surface = dry_air_density_kg_per_m3(air_c=water_c, rh_pct=100)
    room = dry_air_density_kg_per_m3(air_c=air_c, rh_pct=rh_pct)
    if room <= surface:
        return floor
    driving = _ratio(water_c) - humidity_ratio(air_c=air_c, rh_pct=rh_pct)
    return float(max(floor, 35 * surface * (room - surface) ** (1 / 3) * driving))


def _plate(water_c: float, air_c: float, rh_pct: float, speed: float) -> float:
    surface = _vapour_kg_per_m3(water_c, 100)
    room = _vapour_kg_per_m3(air_c, rh_pct)
    return 3600 * _transfer_m_per_s(water_c, air_c, rh_pct, speed) * (surface - room)


_RATE: dict[str, Callable[[float, float, float, float], float]] = {
    "engineering": _engineering,
    "pool": _pool,
    "still": _still,
    "plate": _plate,
}


def _pull_pa(water_c: float, air_c: float, rh_pct: float) -> float:
    """Vapour pressure at the surface over that of the room, Pa."""
    room = vapour_pressure_pa(air_c=air_c, rh_pct=rh_pct)
    return saturation_pressure_pa(air_c=water_c) - room


def _vapour_kg_per_m3(air_c: float, rh_pct: float) -> float:
    """Water vapour in a cubic metre, by the gas law (461.52 J/(kg K))."""
    pressure = vapour_pressure_pa(air_c=air_c, rh_pct=rh_pct)
    return pressure / (461.52 * (air_c + 273.15))


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
    return dry + _vapour_kg_per_m3(air_c, rh_pct)


def _convection_w(h_m: float) -> float:
    """Heat transfer coefficient that goes with a mass transfer coefficient, W/m²K.

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
