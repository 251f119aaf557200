"""What stands in the vessel: volume and strength from what was poured (pure).

Masses add on mixing, volumes do not. Soap is a few mL of mostly water and is counted
as water. Each function is the certificate of one number of the mixing sheet.
"""

from __future__ import annotations

from functools import lru_cache

from mixing.chemistry.alcohol import (
    Blend,
    blend,
    density_g_per_ml,
    make_up,
    mass_fraction,
    vv_pct,
)
from shopapp.figures import formula


@formula("balance.stock_for_ml")
def stock_for_ml(
    *, volume_ml: float, vv_pct: float, stock_vv_pct: float, alcohol_ml: float = 0.0
) -> float:
    """Stock to pour for a finished volume of a wanted strength.

        stock = (volume * vv / 100 - alcohol) / (stock_vv / 100)

    volume_ml     finished volume at 20 °C, mL, above 0
    vv_pct        strength wanted, % v/v, above 0 to stock_vv_pct
    stock_vv_pct  strength of the stock, % v/v
    alcohol_ml    pure isopropanol already poured from another container, mL

    Not for:      the water, which is not the rest of the volume.
    Source:       definition of % v/v (volume of alcohol in finished solution).

    >>> round(stock_for_ml(volume_ml=950, vv_pct=17.684, stock_vv_pct=91), 1)
    184.6
    """
    if vv_pct > stock_vv_pct:
        raise ValueError(
            f"A stock of {stock_vv_pct:g} % v/v cannot make {vv_pct:g} % v/v."
        )
    return max(0.0, (volume_ml * vv_pct - 100 * alcohol_ml) / stock_vv_pct)


@formula("balance.water_for_ml")
def water_for_ml(
    *, volume_ml: float, vv_pct: float, stock_vv_pct: float, soap_ml: float = 0.0
) -> float:
    """Water to measure so that the finished volume is reached after contraction.

        water = (volume * rho(w) - stock * rho(w_stock)) / rho(0) - soap

    volume_ml     finished volume at 20 °C, mL, above 0
    vv_pct        strength wanted, % v/v, 0 to stock_vv_pct
    stock_vv_pct  strength of the stock, % v/v
    soap_ml       soap poured, mL, counted as water

    Not for:      water up to the mark: there the vessel measures.
    Source:       conservation of mass; density by
                  mixing.chemistry.alcohol.density_g_per_ml (CRC, Lebo 1921, Chu and
                  Thompson 1962).

    >>> round(water_for_ml(volume_ml=950, vv_pct=17.684, stock_vv_pct=91), 1)
    778.9
    """
    wanted = make_up(volume_ml=volume_ml, vv_pct=vv_pct, stock_vv_pct=stock_vv_pct)
    return max(0.0, wanted.water_ml - soap_ml)


@formula("balance.water_beside_soap_ml")
def water_beside_soap_ml(*, volume_ml: float, soap_ml: float) -> float:
    """Water in a bottle of slip.

        water = volume - soap

    volume_ml  finished volume, mL, above 0
    soap_ml    soap, mL, 0 or more

    Not for:   a mix with alcohol, which contracts.
    Source:    volumes of water and a few mL of soap add (soap counted as water).

    >>> water_beside_soap_ml(volume_ml=950, soap_ml=2)
    948
    """
    return max(0.0, volume_ml - soap_ml)


@formula("balance.mixed_ml")
def mixed_ml(
    *, stock_ml: float, stock_vv_pct: float, water_ml: float, soap_ml: float = 0.0
) -> float:
    """Volume that really stands in the vessel.

        V = (stock * rho(w_stock) + (water + soap) * rho(0)) / rho(w)

    stock_ml      stock poured, mL at 20 °C, 0 or more
    stock_vv_pct  strength of the stock, % v/v
    water_ml      water poured, mL, 0 or more
    soap_ml       soap poured, mL, counted as water

    Not for:      liquids far from 20 °C (0.9 % over 15 to 30 °C).
    Source:       conservation of mass; density by
                  mixing.chemistry.alcohol.density_g_per_ml.

    >>> round(mixed_ml(stock_ml=240, stock_vv_pct=70, water_ml=710), 1)
    940.7
    """
    return _blend(stock_ml, stock_vv_pct, water_ml + soap_ml).volume_ml


@formula("balance.strength_vv_pct")
def strength_vv_pct(
    *, stock_ml: float, stock_vv_pct: float, water_ml: float, soap_ml: float = 0.0
) -> float:
    """Real strength by volume after contraction.

        vv = 100 * w * rho(w) / rho(1);  w = mass of isopropanol / whole mass

    stock_ml      stock poured, mL at 20 °C, above 0
    stock_vv_pct  strength of the stock, % v/v
    water_ml      water poured, mL, 0 or more
    soap_ml       soap poured, mL, counted as water

    Not for:      liquids far from 20 °C.
    Source:       conservation of mass; density by
                  mixing.chemistry.alcohol.density_g_per_ml.

    >>> round(strength_vv_pct(stock_ml=240, stock_vv_pct=70, water_ml=710), 2)
    17.86
    """
    return _blend(stock_ml, stock_vv_pct, water_ml + soap_ml).vv_pct


@formula("balance.strength_ww_pct")
def strength_ww_pct(
    *, stock_ml: float, stock_vv_pct: float, water_ml: float, soap_ml: float = 0.0
) -> float:
    """Real strength by mass.

        ww = 100 * stock * rho(w_stock) * w_stock / whole mass

    stock_ml      stock poured, mL at 20 °C, above 0
    stock_vv_pct  strength of the stock, % v/v
    water_ml      water poured, mL, 0 or more
    soap_ml       soap poured, mL, counted as water

    Not for:      a label that means volume.
    Source:       conservation of mass; density by
                  mixing.chemistry.alcohol.density_g_per_ml.

    >>> round(strength_ww_pct(stock_ml=240, stock_vv_pct=70, water_ml=710), 2)
    14.36
    """
    return _blend(stock_ml, stock_vv_pct, water_ml + soap_ml).ww_pct


@formula("balance.contraction_ml")
def contraction_ml(
    *, stock_ml: float, stock_vv_pct: float, water_ml: float, soap_ml: float = 0.0
) -> float:
    """Volume lost when alcohol and water mix.

        contraction = stock + water + soap - V

    stock_ml      stock poured, mL at 20 °C, above 0
    stock_vv_pct  strength of the stock, % v/v
    water_ml      water poured, mL, 0 or more
    soap_ml       soap poured, mL, counted as water

    Not for:      an air space that was never filled.
    Source:       conservation of mass; density by
                  mixing.chemistry.alcohol.density_g_per_ml.

    >>> round(contraction_ml(stock_ml=240, stock_vv_pct=70, water_ml=710), 1)
    9.3
    """
    return _blend(stock_ml, stock_vv_pct, water_ml + soap_ml).contraction_ml


@formula("balance.water_to_mark_ml")
def water_to_mark_ml(
    *, stock_ml: float, stock_vv_pct: float, volume_ml: float
) -> float:
    """Water that a vessel takes until its contents stand at the mark.

        water = (V * rho(w) - stock * rho(w_stock)) / rho(0);  vv = stock * vv_stock / V

    stock_ml      stock in the vessel, mL at 20 °C, 0 to volume_ml
    stock_vv_pct  strength of the stock, % v/v
    volume_ml     volume at the mark, mL, above 0

    Not for:      a mark read before the mix has been swirled: it still shrinks.
    Source:       conservation of mass; density by
                  mixing.chemistry.alcohol.density_g_per_ml.

    >>> round(water_to_mark_ml(stock_ml=240, stock_vv_pct=70, volume_ml=950), 1)
    719.3
    """
    strength = min(stock_vv_pct, stock_ml * stock_vv_pct / volume_ml)
    made = make_up(volume_ml=volume_ml, vv_pct=strength, stock_vv_pct=stock_vv_pct)
    return made.water_ml


@formula("balance.joined_ml")
def joined_ml(
    *, first_ml: float, first_vv_pct: float, second_ml: float, second_vv_pct: float
) -> float:
    """Volume of two stocks poured together.

        V = (first * rho(w_first) + second * rho(w_second)) / rho(w)

    first_ml, second_ml            mL at 20 °C, above 0
    first_vv_pct, second_vv_pct    their strengths, % v/v

    Not for:  liquids far from 20 °C.
    Source:   conservation of mass; density by
              mixing.chemistry.alcohol.density_g_per_ml.

    >>> round(joined_ml(first_ml=100, first_vv_pct=70, second_ml=50,
    ...                 second_vv_pct=70), 6)
    150.0
    """
    return _join(first_ml, first_vv_pct, second_ml, second_vv_pct)[0]


@formula("balance.joined_vv_pct")
def joined_vv_pct(
    *, first_ml: float, first_vv_pct: float, second_ml: float, second_vv_pct: float
) -> float:
    """Strength of two stocks poured together.

        vv = (first * vv_first + second * vv_second) / V

    first_ml, second_ml            mL at 20 °C, above 0
    first_vv_pct, second_vv_pct    their strengths, % v/v

    Not for:  liquids far from 20 °C.
    Source:   conservation of mass and of isopropanol; density by
              mixing.chemistry.alcohol.density_g_per_ml.

    >>> round(joined_vv_pct(first_ml=100, first_vv_pct=70, second_ml=50,
    ...                     second_vv_pct=91), 1)
    77.1
    """
    return _join(first_ml, first_vv_pct, second_ml, second_vv_pct)[1]


@formula("balance.vv_from_ww_pct")
def vv_from_ww_pct(*, ww_pct: float) -> float:
    """Strength by volume of a label that says by weight.

        vv = ww * rho(w) / rho(1)

    ww_pct    strength by weight, %, 0 to 100

    Not for:  a label that does not say which it means: ask.
    Source:   definition of % v/v; density by
              mixing.chemistry.alcohol.density_g_per_ml.

    >>> round(vv_from_ww_pct(ww_pct=70), 1)
    76.5
    """
    return vv_pct(mass_fraction=ww_pct / 100)


@formula("balance.soap_for_ml")
def soap_for_ml(*, soap_ml: float, volume_ml: float, reference_ml: float) -> float:
    """Soap for a vessel, from the soap of the reference bottle.

        soap = soap_reference * volume / reference

    soap_ml       soap in one reference bottle, mL, 0 or more
    volume_ml     finished volume of the vessel, mL, above 0
    reference_ml  the reference bottle, mL, above 0

    Not for:      another soap without trying it first.
    Source:       common practice, no published source; proportion.

    >>> soap_for_ml(soap_ml=2, volume_ml=4750, reference_ml=950)
    10.0
    """
    return soap_ml * volume_ml / reference_ml


@formula("balance.soap_ml_per_l")
def soap_ml_per_l(*, soap_ml: float, volume_ml: float) -> float:
    """Soap dose of the finished solution.

        dose = 1000 * soap / volume

    soap_ml    soap poured, mL, 0 or more
    volume_ml  volume in the vessel, mL, above 0

    Not for:   the soap's own solids, which its maker knows.
    Source:    definition.

    >>> round(soap_ml_per_l(soap_ml=2, volume_ml=950), 2)
    2.11
    """
    return 1000 * soap_ml / volume_ml


@formula("balance.difference")
def difference(*, this: float, other: float) -> float:
    """How far one way of filling lies from the other.

        difference = other - this

    this, other  both in the same unit

    Not for:     ratios.
    Source:      definition.

    >>> difference(this=950, other=940.5)
    -9.5
    """
    return other - this


@formula("balance.range_end")
def range_end(*, result: float, off: float) -> float:
    """One end of the range that a result may lie in.

        end = result + off

    result    the result, in its own unit
    off       how far the end lies from it, below zero for the low end

    Not for:  a statistical spread: it is the worst case.
    Source:   the worst case of reading, rounding and label, or of the formulas that
              an estimate is made with.

    >>> range_end(result=18.0, off=-0.5)
    17.5
    """
    return result + off


@lru_cache(maxsize=4096)
def _blend(stock_ml: float, stock_vv_pct: float, water_ml: float) -> Blend:
    return blend(stock_ml=stock_ml, stock_vv_pct=stock_vv_pct, water_ml=water_ml)


def _join(
    first_ml: float, first_vv: float, second_ml: float, second_vv: float
) -> tuple[float, float]:
    first_g = first_ml * _density(first_vv)
    second_g = second_ml * _density(second_vv)
    pure_g = first_g * _share(first_vv) + second_g * _share(second_vv)
    share = pure_g / (first_g + second_g)
    volume = (first_g + second_g) / density_g_per_ml(mass_fraction=share)
    return volume, vv_pct(mass_fraction=share)


def _share(strength_vv_pct: float) -> float:
    return mass_fraction(vv_pct=strength_vv_pct)


def _density(strength_vv_pct: float) -> float:
    return density_g_per_ml(mass_fraction=_share(strength_vv_pct))
