"""Isopropanol and water: density, strength, and what mixing really gives (pure).

"% v/v" is mL of pure isopropanol at 20 °C per 100 mL of finished solution at 20 °C;
"% w/w" is grams per 100 g. Masses add on mixing, volumes do not.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

from mixing.chemistry.bounds import within
from mixing.chemistry.curve import MonotoneCurve, straight_lines
from mixing.chemistry.water import water_density_g_per_ml
from mixing.tables import column
from shopapp.figures import formula

_DENSITY = MonotoneCurve(
    x=column("isopropanol_water_density", "mass_fraction"),
    y=column("isopropanol_water_density", "density_g_per_ml"),
)
_EXPANSION_AT = column("isopropanol_water_expansion", "mass_fraction")
_EXPANSION = column("isopropanol_water_expansion", "slope_kg_per_m3_k")
_WATER = _DENSITY(0.0)
_PURE = _DENSITY(1.0)


@dataclass(frozen=True, kw_only=True)
class Blend:
    """What stands in the vessel after stock and water were poured together."""

    volume_ml: float
    vv_pct: float
    ww_pct: float
    contraction_ml: float
    """Volume lost on mixing; below 0 where a weak stock swells a little."""


@dataclass(frozen=True, kw_only=True)
class MakeUp:
    """What to pour for a wanted volume and strength."""

    stock_ml: float
    water_ml: float


@formula("alcohol.density_g_per_ml")
def density_g_per_ml(*, mass_fraction: float, temp_c: float = 20.0) -> float:
    """Density of an isopropanol-water solution.

        rho(w, T) = PCHIP through the points at 20 °C (w) + slope(w) * (T - 20 °C)

    mass_fraction  isopropanol by mass, 0 to 1
    temp_c         temperature of the liquid, °C, 0 to 50; measured between 15 and 30,
                   beyond that the straight line runs on. Pure water follows its own
                   formula, weaker than 5 % by mass lies on a straight line to it.
    Not for:       other alcohols; finer than 0.15 %, the spread of the sources.
    Source: CRC Handbook of Chemistry and Physics, 102nd ed. (2021), concentrative
        properties of aqueous solutions; R. B. Lebo, J. Am. Chem. Soc. 43 (1921) 1005;
        K.-Y. Chu and A. R. Thompson, J. Chem. Eng. Data (1962); slopes from tables at
        20, 25 and 30 °C (data/isopropanol_water_expansion.csv).

    >>> round(density_g_per_ml(mass_fraction=0.40), 4)
    0.9302
    """
    within(mass_fraction, what="The mass fraction", low=0, high=1, unit="")
    within(temp_c, what="The temperature of the liquid", low=0, high=50, unit="°C")
    at_20 = _DENSITY(mass_fraction)
    return at_20 if temp_c == 20 else at_20 + _expansion(mass_fraction, temp_c)


@lru_cache(maxsize=4096)
def _mass_fraction(vv_pct: float) -> float:
    if vv_pct == 100:
        return 1.0
    if not vv_pct:
        return 0.0
    wanted = vv_pct / 100 * _PURE
    # False position with halved ends (Illinois): w * rho(w) rises with w, so the answer
    # stays between the ends, in about 8 steps where plain halving takes 52.
    low, high = 0.0, 1.0
    below, above = -wanted, _PURE - wanted
    for _ in range(60):
        middle = high - above * (high - low) / (above - below)
        off = middle * _DENSITY(middle) - wanted
        if abs(off) < 1e-15:
            break
        if (off > 0) == (above > 0):
            below /= 2
        else:
            low, below = high, above
        high, above = middle, off
    return middle


@formula("alcohol.mass_fraction")
def mass_fraction(*, vv_pct: float) -> float:
    """Mass fraction of isopropanol in a solution of known strength by volume.

        w * rho(w) = vv_pct / 100 * rho(1)        solved for w

    vv_pct   strength, % v/v at 20 °C, 0 to 100
    Not for: a strength taken as "parts alcohol to parts water before mixing".
    Source: definition of % v/v; density as in density_g_per_ml.

    >>> round(mass_fraction(vv_pct=70), 4)
    0.6279
    """
    within(vv_pct, what="The strength", low=0, high=100, unit="% v/v")
    return _mass_fraction(float(vv_pct))


@formula("alcohol.vv_pct")
def vv_pct(*, mass_fraction: float) -> float:
    """Strength by volume of a solution of known mass fraction.

        vv_pct = 100 * w * rho(w) / rho(1)        all at 20 °C

    mass_fraction  isopropanol by mass, 0 to 1
    Not for:       liquids far from 20 °C: both volumes are meant at 20 °C.
    Source: definition of % v/v; density as in density_g_per_ml.

    >>> round(vv_pct(mass_fraction=0.70), 1)
    76.5
    """
    within(mass_fraction, what="The mass fraction", low=0, high=1, unit="")
    return 100 * mass_fraction * _DENSITY(mass_fraction) / _PURE


@formula("alcohol.blend")
def blend(*, stock_ml: float, stock_vv_pct: float, water_ml: float) -> Blend:
    """Volume and strength after pouring stock and water together.

        m = V_stock * rho(w_stock) + V_water * rho(0)
        w = V_stock * rho(w_stock) * w_stock / m;  V = m / rho(w)

    stock_ml      stock poured, mL at 20 °C, 0 or more
    stock_vv_pct  strength of the stock, % v/v, 0 to 100
    water_ml      water poured, mL at 20 °C, 0 or more, not both 0
    Not for:      making up to a mark: see make_up.
    Source: conservation of mass; density as in density_g_per_ml.

    >>> mix = blend(stock_ml=240, stock_vv_pct=70, water_ml=710)
    >>> round(mix.volume_ml, 1), round(mix.vv_pct, 2), round(mix.contraction_ml, 1)
    (940.7, 17.86, 9.3)
    """
    within(stock_ml, what="The stock poured", low=0, high=math.inf, unit="mL")
    within(water_ml, what="The water poured", low=0, high=math.inf, unit="mL")
    within(stock_vv_pct, what="The strength of the stock", low=0, high=100, unit="%")
    if stock_ml + water_ml == 0:
        raise ValueError("Pour some stock or some water: both are 0 mL.")
    stock_w = mass_fraction(vv_pct=stock_vv_pct)
    if stock_ml == 0 or water_ml == 0 or stock_w == 0:
        # One liquid only: nothing can shrink, and rounding must not pretend it did.
        strength, share = (stock_vv_pct, stock_w) if stock_ml else (0.0, 0.0)
        return Blend(
            volume_ml=stock_ml + water_ml,
            vv_pct=float(strength),
            ww_pct=100 * share,
            contraction_ml=0.0,
        )
    stock_g = stock_ml * _DENSITY(stock_w)
    total_g = stock_g + water_ml * _WATER
    share = stock_g * stock_w / total_g
    volume_ml = total_g / _DENSITY(share)
    return Blend(
        volume_ml=volume_ml,
        vv_pct=vv_pct(mass_fraction=share),
        ww_pct=100 * share,
        contraction_ml=stock_ml + water_ml - volume_ml,
    )


@formula("alcohol.make_up")
def make_up(*, volume_ml: float, vv_pct: float, stock_vv_pct: float) -> MakeUp:
    """Stock and water for a finished volume of a wanted strength.

        V_stock = V * vv / vv_stock
        V_water = (V * rho(w) - V_stock * rho(w_stock)) / rho(0)

    volume_ml     finished volume at 20 °C, mL, 0 or more
    vv_pct        wanted strength, % v/v, 0 to stock_vv_pct
    stock_vv_pct  strength of the stock, % v/v, 0 to 100
    Not for:      the mark on a vessel that is not at about 20 °C (0.9 % over 15 to 30).
    Source: conservation of mass and of isopropanol; density as in density_g_per_ml.

    >>> pour = make_up(volume_ml=950, vv_pct=17.684, stock_vv_pct=91)
    >>> round(pour.stock_ml, 1), round(pour.water_ml, 1)
    (184.6, 778.9)
    """
    within(volume_ml, what="The volume", low=0, high=math.inf, unit="mL")
    within(vv_pct, what="The strength wanted", low=0, high=100, unit="% v/v")
    within(stock_vv_pct, what="The strength of the stock", low=0, high=100, unit="%")
    if vv_pct > stock_vv_pct:
        raise ValueError(
            f"A stock of {stock_vv_pct:g} % v/v cannot make {vv_pct:g} % v/v: "
            "take a stronger stock or ask for a weaker solution."
        )
    if vv_pct == 0:
        return MakeUp(stock_ml=0.0, water_ml=float(volume_ml))
    if vv_pct == stock_vv_pct:
        return MakeUp(stock_ml=float(volume_ml), water_ml=0.0)
    stock_ml = volume_ml * vv_pct / stock_vv_pct
    wanted_g = volume_ml * _DENSITY(mass_fraction(vv_pct=vv_pct))
    stock_g = stock_ml * _DENSITY(mass_fraction(vv_pct=stock_vv_pct))
    return MakeUp(stock_ml=stock_ml, water_ml=max(0.0, (wanted_g - stock_g) / _WATER))


def _expansion(mass_fraction: float, temp_c: float) -> float:
    """Density change from 20 °C, g/mL."""

    def solution(share: float) -> float:
        slope = straight_lines(share, x=_EXPANSION_AT, y=_EXPANSION)
        return slope * (temp_c - 20) / 1000

    first = _EXPANSION_AT[0]
    if mass_fraction >= first:
        return solution(mass_fraction)
    water = water_density_g_per_ml(temp_c=temp_c) - water_density_g_per_ml(temp_c=20.0)
    return water + (solution(first) - water) * mass_fraction / first
