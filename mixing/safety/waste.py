"""Where leftover mix goes: hazardous waste or not, and never the drain (pure)."""

from __future__ import annotations

from dataclasses import dataclass

from mixing.chemistry.alcohol import mass_fraction
from mixing.safety.bounds import between
from mixing.safety.flammable import CAT_3_FROM_VV_PCT
from shopapp.figures import given
from shopapp.say import Say, say

EXCLUDED_BELOW_VV_PCT = 24.0
AQUEOUS_FROM_WATER_PCT = 50.0
IGNITABLE_BELOW_C = 60.0
_EDGE = 1e-9

_RULE = "40 CFR 261.21(a)(1)"
_HIGH_FLASH = "Leftover {name} is not ignitable waste: it flashes at {flash} or above."
_OTHER_SOLVENT = "Leftover {name} holds another solvent: its flash point decides."
_NO_ALCOHOL = "Leftover {name} holds no alcohol: not ignitable waste."
_EXCLUDED = (
    "Leftover {name} is not counted as ignitable waste: under {alcohol} alcohol and at "
    "least {water} water. Collect it all the same; stricter rules may hold here."
)
_IGNITABLE = "Collect leftover {name} as ignitable waste."
_STRADDLES = (
    "Leftover {name} may hold {alcohol} alcohol or more ({low} to {high}): collect it "
    "as ignitable waste."
)
_BY_CLASS = "Collect leftover {name} as ignitable waste: flammable category {category}."
_NOT_BY_CLASS = (
    "Leftover {name} is not ignitable by its class; section 13 of its data sheet says "
    "where it goes."
)
_LISTED = (
    " A solvent may be listed waste too (F codes): section 13 of its data sheet, or "
    "the hauler."
)
_SEWER = "40 CFR 403.5(b)(1); Ohio Adm. Code 3745-3-04 has the same words"


@dataclass(frozen=True, kw_only=True)
class WasteLimits:
    """What a set of rules says of ignitable waste.

    alcohol_below_vv_pct  water mixes below it are left out; None: no such exception
    """

    flash_below_c: float = IGNITABLE_BELOW_C
    alcohol_below_vv_pct: float | None = EXCLUDED_BELOW_VV_PCT
    water_from_mass_pct: float = AQUEOUS_FROM_WATER_PCT
    source: str = _RULE


FEDERAL_WASTE = WasteLimits()


@dataclass(frozen=True, kw_only=True)
class WasteDecision:
    """is_ignitable: hazardous waste, federal code D001; None: cannot be told."""

    is_ignitable: bool | None
    sentence: Say
    source: str


@dataclass(frozen=True, kw_only=True)
class DrainDecision:
    """is_barred: the sewer rule itself bars it; even if not, ask before pouring."""

    is_barred: bool
    sentence: Say
    source: str


def waste_decision(
    *,
    vv_pct: float,
    vv_low_pct: float | None = None,
    flash_point_c: float | None = None,
    water_mass_pct: float | None = None,
    has_other_solvent: bool = False,
    name: str = "mix",
    limits: WasteLimits = FEDERAL_WASTE,
) -> WasteDecision:
    """Whether leftover alcohol mix is ignitable hazardous waste (D001).

        flash >= 60 °C: no;  alcohol < 24 % v/v and water >= 50 % by mass: no;
        otherwise yes

    vv_pct             isopropanol, % v/v, 0 to 100; of a range its upper end
    vv_low_pct         its lower end; what reaches the limit anywhere is collected
    flash_point_c      measured or data-sheet closed-cup value, °C, if there is one
    water_mass_pct     water, % by mass; None: all that is not alcohol is water
    has_other_solvent  another flammable solvent is in it
    name               what the sentence calls it
    limits             of the rules gone by; the federal ones above are the example
    Not for:           a state's stricter list, or paints, oils and other chemicals.
    Source:            40 CFR 261.21(a)(1) (2004 text read; 50 % water clause of 85 FR
                       40594 from memory); EPA hotline July 1992

    >>> waste_decision(vv_pct=17.7).is_ignitable
    False
    """
    between(
        vv_pct,
        low=0,
        high=100,
        what="The strength",
        unit="% v/v",
        remedy="Take it from the mixing sheet.",
    )
    water = water_mass_pct
    if water is None:
        water = 100 * (1 - mass_fraction(vv_pct=vv_pct))
    between(
        water, low=0, high=100, what="The water", unit="% by mass", remedy="Check it."
    )
    if vv_low_pct is not None:
        between(
            vv_low_pct,
            low=0,
            high=100,
            what="The lower end",
            unit="% v/v",
            remedy="Take it from the mixing sheet.",
        )
    _check_flash(flash_point_c)
    if flash_point_c is not None and flash_point_c >= limits.flash_below_c:
        return _decided(False, _HIGH_FLASH, name, limits)
    if flash_point_c is None and has_other_solvent:
        return _decided(None, _OTHER_SOLVENT, name, limits)
    if flash_point_c is None and vv_pct == 0:
        return _decided(False, _NO_ALCOHOL, name, limits)
    below = limits.alcohol_below_vv_pct
    # A rounding error below the limit is at the limit: the careful side.
    excluded = below is not None and 0 < vv_pct < below - _EDGE
    excluded = excluded and water >= limits.water_from_mass_pct
    if excluded:
        return _decided(False, _EXCLUDED, name, limits)
    if below is not None and vv_low_pct is not None and vv_low_pct < below - _EDGE:
        return _decided(True, _STRADDLES, name, limits, ends=(vv_low_pct, vv_pct))
    return _decided(True, _IGNITABLE, name, limits)


def product_waste(
    *,
    category: int,
    flash_point_c: float | None,
    may_be_listed: bool,
    name: str,
    limits: WasteLimits = FEDERAL_WASTE,
) -> WasteDecision:
    """Whether leftovers of a product used as it comes are ignitable waste.

        flash < limit, or without a flash point category 1 to 3: yes; category 4 where
        the limit is above 60 °C

    category       of its data sheet, 0 for not flammable
    flash_point_c  of its data sheet, °C, if it names one
    may_be_listed  a solvent other than isopropyl alcohol: it may be on the F list
    name           what the sentence calls it
    limits         of the rules gone by
    Not for:       a hauler's own list; the codes of paints and oils.
    Source:        40 CFR 261.21(a)(1); the F list is 40 CFR 261.31 (from memory).
                   Category 3 reaches to 60 °C: its last degree counts too.
    """
    _check_flash(flash_point_c)
    if flash_point_c is not None:
        ignitable = flash_point_c < limits.flash_below_c
    else:
        to_4 = limits.flash_below_c > IGNITABLE_BELOW_C
        ignitable = category in (1, 2, 3) or (category == 4 and to_4)
    pattern = _BY_CLASS if ignitable and category else _IGNITABLE
    pattern = pattern if ignitable else _NOT_BY_CLASS
    if may_be_listed:
        pattern += _LISTED
    told = say(pattern, name=name, category=category)
    return WasteDecision(is_ignitable=ignitable, sentence=told, source=limits.source)


def _decided(
    is_ignitable: bool | None,
    pattern: str,
    name: str,
    limits: WasteLimits,
    *,
    ends: tuple[float, float] = (0.0, 0.0),
) -> WasteDecision:
    told = say(
        pattern,
        name=name,
        low=given(ends[0], "vv_pct", "mixing sheet"),
        high=given(ends[1], "vv_pct", "mixing sheet"),
        flash=given(limits.flash_below_c, "degc", limits.source),
        alcohol=given(limits.alcohol_below_vv_pct or 0.0, "vv_pct", limits.source),
        water=given(limits.water_from_mass_pct, "pct", limits.source),
    )
    return WasteDecision(is_ignitable=is_ignitable, sentence=told, source=limits.source)


def drain_decision(
    *,
    vv_pct: float,
    flash_point_c: float | None = None,
    flash_below_c: float | None = IGNITABLE_BELOW_C,
    source: str = _SEWER,
) -> DrainDecision:
    """Whether the sewer rule bars pouring a mix down a drain.

        barred: closed-cup flash point < limit (60 °C in the federal example), or
        without one 2 % v/v alcohol and up; any alcohol where the limit is higher

    vv_pct         isopropanol, % v/v, 0 to 100
    flash_point_c  measured or data-sheet closed-cup value, °C, if there is one
    flash_below_c  limit of the rules gone by, °C; None: they bar no flash point
    source         where that limit stands
    Not for:       permission: the sewer authority decides, septic and storm drains
                   never.
    Source:        40 CFR 403.5(b)(1) (secondary copy); below 2 % v/v the estimated
                   flash point passes 60 °C

    >>> drain_decision(vv_pct=17.7).is_barred
    True
    """
    between(
        vv_pct,
        low=0,
        high=100,
        what="The strength",
        unit="% v/v",
        remedy="Take it from the mixing sheet.",
    )
    _check_flash(flash_point_c)
    if flash_below_c is None:
        barred = False
    elif flash_point_c is not None:
        barred = flash_point_c < flash_below_c
    elif flash_below_c > IGNITABLE_BELOW_C:
        barred = vv_pct > 0
    else:
        barred = vv_pct >= CAT_3_FROM_VV_PCT - _EDGE
    if barred:
        said = say(
            "Not down any drain: a liquid that flashes below {flash} is barred from "
            "the sewer. Do not let it evaporate to be rid of it.",
            flash=given(flash_below_c or 0.0, "degc", source),
        )
    else:
        said = say(
            "Ask the sewer authority before any goes down a drain; never into a storm "
            "drain or septic tank."
        )
    return DrainDecision(is_barred=barred, sentence=said, source=source)


def _check_flash(flash_point_c: float | None) -> None:
    if flash_point_c is not None:
        between(
            flash_point_c,
            low=-150,
            high=600,
            what="The flash point",
            unit="°C",
            remedy="Read it in section 9 of the data sheet.",
        )
