"""A pour that went wrong: what it makes, and what sets it right (pure).

What is in the vessel never changes its composition by pouring some of it out, so the
smallest right batch that holds all that is in it says what to add; where that batch
does not fit, a part goes out first and the same is done with the rest.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from mixing.chemistry.alcohol import density_g_per_ml, mass_fraction
from mixing.sheet.balance import mixed_ml, soap_ml_per_l, strength_vv_pct
from shopapp.figures import formula

NEXT_TO_NOTHING_ML = 1e-6


@formula("correction.right_volume_ml")
def right_volume_ml(
    *,
    stock_ml: float,
    stock_vv_pct: float,
    water_ml: float,
    soap_ml: float,
    vv_pct: float,
    dose_ml_per_l: float,
    added_vv_pct: float,
) -> float:
    """Smallest batch of the right strength and dose that holds all that is in it.

        V = max(stock * vv_stock / vv, 1000 * soap / dose, volume that needs no water)

    stock_ml       alcohol in the vessel, mL at 20 °C, 0 or more
    stock_vv_pct   its strength, % v/v
    water_ml       water in it, mL, 0 or more
    soap_ml        soap in it, mL, counted as water
    vv_pct         strength wanted, % v/v; 0 without alcohol
    dose_ml_per_l  soap wanted, mL/L; 0 without soap
    added_vv_pct   strength of the alcohol that would be added, above vv_pct

    Not for:       alcohol in a solution that wants none: nothing sets that right.
    Source:        conservation of mass, definition of % v/v; density by
                   mixing.chemistry.alcohol.density_g_per_ml.

    >>> round(right_volume_ml(stock_ml=220, stock_vv_pct=91, water_ml=0, soap_ml=0,
    ...     vv_pct=17.684, dose_ml_per_l=0, added_vv_pct=91))
    1132
    """
    volume = 0.0
    if vv_pct:
        volume = stock_ml * stock_vv_pct / vv_pct
    if dose_ml_per_l:
        volume = max(volume, 1000 * soap_ml / dose_ml_per_l)
    if not water_ml:
        return volume
    known = {
        "vv_pct": vv_pct,
        "stock_ml": stock_ml,
        "stock_vv_pct": stock_vv_pct,
        "added_vv_pct": added_vv_pct,
    }

    def lacking(of_ml: float) -> float:
        soap = soap_to_add_ml(
            volume_ml=of_ml, dose_ml_per_l=dose_ml_per_l, soap_ml=soap_ml
        )
        return _lacking_ml(
            volume_ml=of_ml, water_ml=water_ml, soap_ml=soap_ml + soap, **known
        )

    short = lacking(volume) if volume else -water_ml
    if short >= 0:
        return volume
    # From here on every part of the mix grows with the volume, along a straight line.
    return volume - short / (lacking(volume + 1) - lacking(volume))


@formula("correction.alcohol_to_add_ml")
def alcohol_to_add_ml(
    *,
    volume_ml: float,
    vv_pct: float,
    stock_ml: float,
    stock_vv_pct: float,
    added_vv_pct: float,
) -> float:
    """Alcohol to add to a vessel for a batch of the right strength.

        added = (V * vv - stock * vv_stock) / vv_added

    volume_ml     the right batch, mL, above 0
    vv_pct        strength wanted, % v/v; 0 without alcohol
    stock_ml      alcohol in the vessel, mL, 0 or more
    stock_vv_pct  its strength, % v/v
    added_vv_pct  strength of what is added, % v/v

    Not for:      a batch smaller than what is in the vessel makes: pour some out.
    Source:       definition of % v/v (volume of alcohol in finished solution).

    >>> round(alcohol_to_add_ml(volume_ml=950, vv_pct=17.684, stock_ml=160,
    ...     stock_vv_pct=91, added_vv_pct=91), 1)
    24.6
    """
    if not vv_pct:
        return 0.0
    lacking = volume_ml * vv_pct - stock_ml * stock_vv_pct
    return _nothing_below_zero(lacking / added_vv_pct)


@formula("correction.soap_to_add_ml")
def soap_to_add_ml(*, volume_ml: float, dose_ml_per_l: float, soap_ml: float) -> float:
    """Soap to add to a vessel for a batch of the right dose.

        added = V * dose / 1000 - soap

    volume_ml      the right batch, mL, above 0
    dose_ml_per_l  soap wanted, mL/L; 0 without soap
    soap_ml        soap in the vessel, mL

    Not for:       a batch that holds less soap than is in the vessel: pour some out.
    Source:        definition.

    >>> soap_to_add_ml(volume_ml=1000, dose_ml_per_l=2.0, soap_ml=0.5)
    1.5
    """
    return _nothing_below_zero(volume_ml * dose_ml_per_l / 1000 - soap_ml)


@formula("correction.water_to_add_ml")
def water_to_add_ml(
    *,
    volume_ml: float,
    vv_pct: float,
    stock_ml: float,
    stock_vv_pct: float,
    water_ml: float,
    soap_ml: float,
    added_vv_pct: float,
) -> float:
    """Water to add to a vessel for a batch of the right strength and dose.

        added = (V * rho(w) - stock * rho(w_stock) - alcohol added * rho(w_added))
                / rho(0) - water - soap

    volume_ml     the right batch, mL, above 0
    vv_pct        strength wanted, % v/v; 0 without alcohol
    stock_ml      alcohol in the vessel, mL at 20 °C
    stock_vv_pct  its strength, % v/v
    water_ml      water in it, mL
    soap_ml       soap of the finished batch, mL, counted as water
    added_vv_pct  strength of the alcohol that is added as well, % v/v

    Not for:      water up to a mark: there the vessel measures.
    Source:       conservation of mass; density by
                  mixing.chemistry.alcohol.density_g_per_ml.

    >>> round(water_to_add_ml(volume_ml=950, vv_pct=17.684, stock_ml=184.6,
    ...     stock_vv_pct=91, water_ml=600, soap_ml=0, added_vv_pct=91))
    179
    """
    return _nothing_below_zero(
        _lacking_ml(
            volume_ml=volume_ml,
            vv_pct=vv_pct,
            stock_ml=stock_ml,
            stock_vv_pct=stock_vv_pct,
            water_ml=water_ml,
            soap_ml=soap_ml,
            added_vv_pct=added_vv_pct,
        )
    )


@formula("correction.out_first_ml")
def out_first_ml(*, in_it_ml: float, right_ml: float, most_ml: float) -> float:
    """What goes out of a vessel first, so that the right batch of the rest fits.

        out = in it * (1 - most / V)

    in_it_ml  what stands in the vessel, mixed, mL
    right_ml  the right batch of all that is in it, mL
    most_ml   how far the vessel may be filled, mL

    Not for:  a vessel that was not swirled before: its layers differ.
    Source:   pouring out a part of a mixed liquid does not change what is in the rest.

    >>> round(out_first_ml(in_it_ml=220, right_ml=1132, most_ml=950), 1)
    35.4
    """
    if right_ml <= most_ml:
        return 0.0
    return in_it_ml * (1 - most_ml / right_ml)


@formula("correction.readable_up_ml")
def readable_up_ml(*, wanted_ml: float, step_ml: float) -> float:
    """The next amount that a jug shows, so that enough goes out.

        amount = ceil(wanted / step) * step

    wanted_ml  what has to go out at least, mL, 0 or more
    step_ml    step between two marks, mL, above 0

    Not for:   what is poured in: that is rounded to the nearest mark.
    Source:    definition of rounding up to a graduation.

    >>> readable_up_ml(wanted_ml=35.4, step_ml=10)
    40
    """
    return math.ceil(wanted_ml / step_ml - 1e-9) * step_ml


def _lacking_ml(
    *,
    volume_ml: float,
    vv_pct: float,
    stock_ml: float,
    stock_vv_pct: float,
    water_ml: float,
    soap_ml: float,
    added_vv_pct: float,
) -> float:
    """Water that lacks; below zero where there is too much."""
    added = alcohol_to_add_ml(
        volume_ml=volume_ml,
        vv_pct=vv_pct,
        stock_ml=stock_ml,
        stock_vv_pct=stock_vv_pct,
        added_vv_pct=added_vv_pct,
    )
    mass = volume_ml * _density(vv_pct)
    mass -= stock_ml * _density(stock_vv_pct) + added * _density(added_vv_pct)
    return mass / _density(0.0) - water_ml - soap_ml


def _density(vv_pct: float) -> float:
    return density_g_per_ml(mass_fraction=mass_fraction(vv_pct=vv_pct))


def _nothing_below_zero(amount_ml: float) -> float:
    return amount_ml if amount_ml > NEXT_TO_NOTHING_ML else 0.0


@dataclass(frozen=True, kw_only=True)
class Aim:
    """What one vessel is to hold, and how far off it may be.

    vv_pct, dose_ml_per_l     0: none wanted
    ..._tolerance_pct         % of the target, either way
    added_vv_pct              strength of the alcohol at hand
    least_ml, most_ml         how far the vessel is filled at least, and may be
    """

    vv_pct: float
    vv_tolerance_pct: float
    dose_ml_per_l: float
    dose_tolerance_pct: float
    added_vv_pct: float
    most_ml: float
    least_ml: float = 0.0


@dataclass(frozen=True, kw_only=True)
class InIt:
    """What is in one vessel, mL; the alcohol as one stock of this strength."""

    stock_ml: float = 0.0
    stock_vv_pct: float = 0.0
    water_ml: float = 0.0
    soap_ml: float = 0.0

    @property
    def volume_ml(self) -> float:
        """Real volume, after contraction."""
        if not self.stock_ml + self.water_ml + self.soap_ml:
            return 0.0
        return mixed_ml(**self._parts)

    @property
    def vv_pct(self) -> float:
        """Real strength, % v/v."""
        return strength_vv_pct(**self._parts) if self.stock_ml else 0.0

    @property
    def dose_ml_per_l(self) -> float:
        """Real soap dose, mL/L."""
        volume = self.volume_ml
        return soap_ml_per_l(soap_ml=self.soap_ml, volume_ml=volume) if volume else 0.0

    @property
    def _parts(self) -> dict[str, float]:
        return {
            "stock_ml": self.stock_ml,
            "stock_vv_pct": self.stock_vv_pct,
            "water_ml": self.water_ml,
            "soap_ml": self.soap_ml,
        }

    def without(self, out_ml: float) -> InIt:
        """The same, mixed, after a part of it went out."""
        kept = 1 - out_ml / self.volume_ml
        return InIt(
            stock_ml=self.stock_ml * kept,
            stock_vv_pct=self.stock_vv_pct,
            water_ml=self.water_ml * kept,
            soap_ml=self.soap_ml * kept,
        )


def is_off(made: InIt, aim: Aim) -> bool:
    """Whether strength or dose leaves its tolerance."""
    return _far(made.vv_pct, aim.vv_pct, aim.vv_tolerance_pct) or _far(
        made.dose_ml_per_l, aim.dose_ml_per_l, aim.dose_tolerance_pct
    )


def _far(is_pct: float, wanted: float, tolerance_pct: float) -> bool:
    return bool(wanted) and abs(is_pct - wanted) > wanted * tolerance_pct / 100 + 1e-9


@dataclass(frozen=True, kw_only=True)
class SetRight:
    """What sets a vessel right: out of it first, then into it, mL."""

    out_ml: float
    stock_ml: float
    water_ml: float
    soap_ml: float
    volume_ml: float


def right_batch_ml(in_it: InIt, aim: Aim) -> float:
    """The smallest right batch that holds all that is in a vessel, mL."""
    volume = right_volume_ml(
        stock_ml=in_it.stock_ml,
        stock_vv_pct=in_it.stock_vv_pct,
        water_ml=in_it.water_ml,
        soap_ml=in_it.soap_ml,
        vv_pct=aim.vv_pct,
        dose_ml_per_l=aim.dose_ml_per_l,
        added_vv_pct=aim.added_vv_pct,
    )
    return max(volume, aim.least_ml)


def set_right(in_it: InIt, aim: Aim, *, out_step_ml: float = 0.0) -> SetRight:
    """What to pour out and what to add, so that strength and dose are as wanted.

    out_step_ml  what goes out is measured in such steps, rounded up; 0: exactly
    """
    whole = in_it.volume_ml
    right = right_batch_ml(in_it, aim)
    out = out_first_ml(in_it_ml=whole, right_ml=right, most_ml=aim.most_ml)
    if out_step_ml and out:
        out = min(whole, readable_up_ml(wanted_ml=out, step_ml=out_step_ml))
    if out >= whole:
        return SetRight(
            out_ml=whole, stock_ml=0.0, water_ml=0.0, soap_ml=0.0, volume_ml=0.0
        )
    rest = in_it.without(out)
    volume = min(right_batch_ml(rest, aim), aim.most_ml) if out else right
    known = {
        "volume_ml": volume,
        "vv_pct": aim.vv_pct,
        "stock_ml": rest.stock_ml,
        "stock_vv_pct": rest.stock_vv_pct,
        "added_vv_pct": aim.added_vv_pct,
    }
    soap = soap_to_add_ml(
        volume_ml=volume, dose_ml_per_l=aim.dose_ml_per_l, soap_ml=rest.soap_ml
    )
    return SetRight(
        out_ml=out,
        stock_ml=alcohol_to_add_ml(**known),
        water_ml=water_to_add_ml(
            **known, water_ml=rest.water_ml, soap_ml=rest.soap_ml + soap
        ),
        soap_ml=soap,
        volume_ml=volume,
    )
