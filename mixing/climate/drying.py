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
from mixing.climate import surface
from mixing.climate.alcohol_share import drying_time_ratio
from mixing.limits import AIR_M_PER_S, DRYING_AIR_C, DRYING_PANEL_C
from shopapp.figures import Figure, Range, formula, part_of
from shopapp.say import Say, say

MODELS: dict[str, Callable[..., float]] = {
    "engineering": surface.engineering_rate,
    "pool": surface.pool_rate,
    "still": surface.still_rate,
    "plate": surface.plate_rate,
}

REFERENCE_AIR_C, REFERENCE_RH_PCT, REFERENCE_AIR_M_PER_S = 20.0, 50.0, 0.1
_REFERENCE = (
    REFERENCE_AIR_C,
    REFERENCE_AIR_C,
    REFERENCE_RH_PCT,
    REFERENCE_AIR_M_PER_S,
)


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
        part = Range(value=self.central_min, low=self.fast_min, high=self.slow_min)
        return part_of(open_time, "min", part, shown=self.inputs)

    @property
    def index_figure(self) -> Figure | None:
        """The index with its range, openable; None when it does not dry."""
        if self.index is None:
            return None
        part = Range(value=self.index, low=self.index_low, high=self.index_high)
        return part_of(open_time, "", part, shown=self.inputs)


@formula("drying.evaporation_kg_per_m2_h")
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
    rate = MODELS[model](
        water_c=water_c, air_c=air_c, rh_pct=rh_pct, air_m_per_s=air_m_per_s
    )
    return max(0.0, rate)


@formula("drying.open_time")
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
    air_m_per_s  air speed over the panel, m/s, 0 to 10; below 0.1 counts as 0.1
    vv_pct       alcohol in the solution, % v/v, 0 to 100
    layer_um     wet layer, µm, above 0; used without a patch only
    usable_pct   share of it that may leave before one must spray again, %, above 0 to
                 100; the shop's setting, no published value; used without a patch only
    patch        the shop's own test, or None
    Not for:     gel, or liquid under laid film. It is an estimate: the formulas agree
                 on the index within a factor of 1.6, on minutes within 3 to 6.
    Source: fast by "engineering", central by "plate", slow by "plate" on the film as
        cooled by evaporation: see mixing.climate.surface;
        alcohol by mixing.climate.alcohol_share.drying_time_ratio.

    >>> round(open_time(air_c=20, rh_pct=50).index, 3)
    1.0
    >>> open_time(air_c=20, rh_pct=50, panel_c=5).dries
    False
    """
    above_zero(layer_um, what="The wet layer", unit="µm")
    within(usable_pct, what="The usable share", low=1, high=100, unit="%")
    panel = air_c if panel_c is None else panel_c
    inputs: tuple[tuple[str, float], ...] = (
        ("air_c", air_c),
        ("rh_pct", rh_pct),
        ("panel_c", panel),
        ("air_m_per_s", air_m_per_s),
        ("vv_pct", vv_pct),
    )
    indices = _indices(panel, air_c, rh_pct, air_m_per_s, vv_pct, usable_pct)
    if indices is None:
        return _never_dries(inputs, calibrated=patch is not None)
    if patch is None:
        # kg/m² of water is mm, so µm / 1000.
        lost = layer_um / 1000 * usable_pct / 100
        at_reference = [60 * lost / rate for rate in _rates(*_REFERENCE)]
        inputs += (("layer_um", layer_um), ("usable_pct", usable_pct))
    else:
        at_reference = _patch_minutes(patch, usable_pct)
        inputs += (("patch_reference_min", at_reference[1]),)
    minutes = [at * index for at, index in zip(at_reference, indices, strict=True)]
    return OpenTime(
        index=indices[1],
        index_low=min(indices),
        index_high=max(indices),
        fast_min=min(minutes),
        central_min=minutes[1],
        slow_min=max(minutes),
        calibrated=patch is not None,
        says=(_range_say(min(minutes), max(minutes), patch is not None),),
        inputs=inputs,
    )


@formula("drying.reference_minutes")
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
    return _patch_minutes(patch, usable_pct)[1]


def _patch_minutes(patch: Patch, usable_pct: float) -> list[float]:
    """Minutes at the reference state by each of the three reckonings."""
    above_zero(patch.minutes, what="The minutes of the test patch", unit="min")
    indices = _indices(
        patch.panel_c,
        patch.air_c,
        patch.rh_pct,
        patch.air_m_per_s,
        patch.vv_pct,
        usable_pct,
    )
    if indices is None:
        raise ValueError(
            "In the air of that test a film does not dry: repeat it on a warmer panel."
        )
    return [patch.minutes / index for index in indices]


def _check_state(*, air_c: float, rh_pct: float, air_m_per_s: float) -> None:
    low, high = DRYING_AIR_C.low, DRYING_AIR_C.high
    within(air_c, what="The air temperature", low=low, high=high, unit="°C")
    within(rh_pct, what="The humidity", low=0, high=100, unit="%")
    _speed(air_m_per_s)


def _speed(air_m_per_s: float) -> float:
    low, high = AIR_M_PER_S.low, AIR_M_PER_S.high
    return within(air_m_per_s, what="The air speed", low=low, high=high, unit="m/s")


@lru_cache(maxsize=1024)
def _rates(
    panel_c: float, air_c: float, rh_pct: float, air_m_per_s: float
) -> tuple[float, float, float]:
    """Loss by the fast, the central and the slow reckoning, kg/(m² h)."""
    _check_state(air_c=air_c, rh_pct=rh_pct, air_m_per_s=air_m_per_s)
    low, high = DRYING_PANEL_C.low, DRYING_PANEL_C.high
    within(panel_c, what="The panel", low=low, high=high, unit="°C")
    air = {"air_c": air_c, "rh_pct": rh_pct, "air_m_per_s": air_m_per_s}
    return (
        surface.engineering_rate(water_c=panel_c, **air),
        surface.plate_rate(water_c=panel_c, **air),
        surface.cooled_plate_rate(panel_c=panel_c, **air),
    )


def _indices(
    panel_c: float,
    air_c: float,
    rh_pct: float,
    air_m_per_s: float,
    vv_pct: float,
    usable_pct: float,
) -> list[float] | None:
    """Time over that of the reference state, by each reckoning; None: never dries."""
    # No room is quite still, and free convection alone has a false standstill where
    # a cold panel's chill balances the moisture at it.
    speed = max(REFERENCE_AIR_M_PER_S, _speed(air_m_per_s))
    rates = _rates(float(panel_c), float(air_c), float(rh_pct), float(speed))
    if min(rates) <= 0:
        return None
    ratio = drying_time_ratio(
        vv_pct=vv_pct,
        liquid_c=panel_c,
        air_c=air_c,
        rh_pct=rh_pct,
        usable_pct=usable_pct,
    )
    at_reference = _rates(*_REFERENCE)
    return [ratio * at / rate for at, rate in zip(at_reference, rates, strict=True)]


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
