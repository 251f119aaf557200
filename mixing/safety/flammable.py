"""How readily a liquid burns: flash point, category, and on what ground (pure).

A value measured or printed on a data sheet always wins. Without one the category
comes from the strength, never from the estimated flash point, which is only shown.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum

from mixing.limits import FLASH_POINT_C
from mixing.safety.bounds import between
from mixing.safety.flash_point import flash_figure, flash_point_c
from shopapp.figures import Figure, formula, given
from shopapp.say import Say, say

__all__ = ["flammable_category", "flash_point_c", "liquid_class"]

# Figures kept in old sheets name flash_point_c here, where it stood then.

CAT_2_FROM_VV_PCT = 20.0
CAT_3_FROM_VV_PCT = 2.0
CATEGORY_2_BELOW_C, CATEGORY_3_TO_C = 23.0, 60.0
"""29 CFR 1910.106(a)(19)(i)-(iii), GHS chapter 2.6; below the first the boiling point
parts category 1 from 2."""
CATEGORY_4_TO_C = 93.0
"""29 CFR 1910.106(a)(19)(iv); another country's rules may have no category 4."""
FLAG_BELOW_C = (100 - 32) / 1.8
"""100 °F, printed as 37.8 °C: many duties hold for category 3 only below it."""
_CLASS_I_SPLIT_C = (73 - 32) / 1.8

# Whole degrees Fahrenheit turned into Celsius land a rounding error off the limit.
_EDGE = 1e-9

_LOWEST_MIX_BOILING_C = 80.0
_RULE = "29 CFR 1910.106(a)(19)"


class Ground(StrEnum):
    """What a flash point or category rests on."""

    MEASURED = "measured"
    DATA_SHEET = "data sheet"
    STRENGTH = "strength"


@dataclass(frozen=True, kw_only=True)
class LiquidClass:
    """What the rules call a liquid, and why.

    category       1 to 4, or None: not classified as flammable
    nfpa           NFPA 30 class, or None where no flash point stands behind it
    below_100f     treat the flash point as below 37.8 °C (100 °F)
    flash          the flash point shown (given, or the estimate with its spread)
    basis, source  one sentence, and where the rule is printed
    """

    category: int | None
    nfpa: str | None
    below_100f: bool
    flash: Figure | None
    ground: Ground
    basis: Say
    source: str


@formula("flammable.flammable_category")
def flammable_category(
    *,
    flash_point_c: float | None,
    boiling_point_c: float | None,
    category_4_to_c: float | None = CATEGORY_4_TO_C,
) -> int | None:
    """Flammable-liquid category, 1 to 4; None: not classified.

        1: flash < 23 °C and boiling <= 35 °C      2: flash < 23 °C, boiling > 35 °C
        3: 23 <= flash <= 60 °C                    4: 60 < flash <= 93 °C

    flash_point_c    closed cup, °C, -150 to 600; None: none found
    boiling_point_c  initial boiling point of the mixture, °C; may be None from 23 °C
                     up, where it does not matter
    category_4_to_c  upper end of category 4 in the rules gone by, °C; None: they have
                     no category 4, a building block that the GHS leaves open
    Not for:         aerosols, gases, liquids that are heated.
    Source:          29 CFR 1910.106(a)(19)(i)-(iv); same limits in GHS chapter 2.6

    >>> flammable_category(flash_point_c=12, boiling_point_c=82.8)
    2
    """
    if flash_point_c is None:
        return None
    _check_points(flash_point_c, boiling_point_c)
    if flash_point_c >= CATEGORY_2_BELOW_C - _EDGE:
        if flash_point_c <= CATEGORY_3_TO_C + _EDGE:
            return 3
        is_4 = category_4_to_c is not None and flash_point_c <= category_4_to_c + _EDGE
        return 4 if is_4 else None
    if boiling_point_c is None:
        raise ValueError(
            f"With a flash point of {flash_point_c:g} °C the boiling point decides "
            "between category 1 and 2. Enter it from section 9 of the data sheet."
        )
    return 1 if boiling_point_c <= 35 + _EDGE else 2


def nfpa_class(
    *, flash_point_c: float | None, boiling_point_c: float | None
) -> str | None:
    """Class of a liquid in the fire code's own words.

        IA: flash < 22.8 °C, boiling < 37.8 °C    IB: flash < 22.8, boiling >= 37.8 °C
        IC: < 37.8 °C    II: < 60 °C    IIIA: < 93 °C    IIIB: from 93 °C

    flash_point_c    closed cup, °C; None: none found
    boiling_point_c  °C; may be None from 22.8 °C up
    Not for:         the federal category, whose limits differ a little; 93.0 to
                     93.3 °C, where the code's 200 °F and its printed 93 °C part ways
                     (IIIB here; NFPA 497 lists a liquid of 93 °C as IIIA).
    Source:          NFPA 30 (2003) section 1.7.3 as a university's safety office quotes
                     it; IB for isopropanol: NIOSH Pocket Guide

    >>> nfpa_class(flash_point_c=12, boiling_point_c=82.8)
    'IB'
    """
    if flash_point_c is None:
        return None
    _check_points(flash_point_c, boiling_point_c)
    if flash_point_c < _CLASS_I_SPLIT_C - _EDGE:
        if boiling_point_c is None:
            raise ValueError(
                f"With a flash point of {flash_point_c:g} °C the boiling point decides "
                "between class IA and IB. Enter it from section 9 of the data sheet."
            )
        return "IA" if boiling_point_c < FLAG_BELOW_C - _EDGE else "IB"
    for limit_c, name in ((FLAG_BELOW_C, "IC"), (60.0, "II"), (93.0, "IIIA")):
        if flash_point_c < limit_c - _EDGE:
            return name
    return "IIIB"


@formula("flammable.check_category")
def check_category(
    *,
    category: int | None,
    flash_point_c: float | None,
    boiling_point_c: float | None,
    category_4_to_c: float | None = CATEGORY_4_TO_C,
) -> int | None:
    """The category, when it fits its flash point; ValueError otherwise.

        category == flammable_category(flash point, boiling point)

    category         1 to 4 as entered, or None: not flammable
    flash_point_c    closed cup, °C; None: none found
    boiling_point_c  °C, or None from 23 °C up
    category_4_to_c  as in flammable_category
    Not for:         aerosols and gases.
    Source:          29 CFR 1910.106(a)(19)

    >>> check_category(category=2, flash_point_c=18, boiling_point_c=81)
    2
    """
    right = flammable_category(
        flash_point_c=flash_point_c,
        boiling_point_c=boiling_point_c,
        category_4_to_c=category_4_to_c,
    )
    if category != right:
        belongs = "no category" if right is None else f"category {right}"
        entered = "no category" if category is None else f"category {category}"
        flash = "none" if flash_point_c is None else f"{flash_point_c:g} °C"
        raise ValueError(
            f"A flash point of {flash} belongs to {belongs}, not {entered}. Correct "
            "the one that was read wrongly; section 9 of the data sheet has both."
        )
    return category


def liquid_class(
    *,
    vv_pct: float,
    flash_point_c: float | None = None,
    boiling_point_c: float | None = None,
    ground: Ground = Ground.STRENGTH,
    basis: Say | None = None,
    category_4_to_c: float | None = CATEGORY_4_TO_C,
) -> LiquidClass:
    """Category of an isopropanol-water mix and the ground it stands on.

        measured or data-sheet flash point: by flammable_category
        else by strength: >= 20 % v/v category 2;  2 to 20 %: 3;  below 2 %: none

    vv_pct           isopropanol, % v/v, 0 to 100
    flash_point_c    measured or data-sheet closed-cup value, °C, if there is one
    boiling_point_c  of the mix, °C; a mix with water boils above 80 °C
    ground           MEASURED or DATA_SHEET where flash_point_c is given
    basis            what says so, in full; a short sentence without it
    category_4_to_c  as in flammable_category
    Not for:         mixes with another flammable solvent: enter their flash point.
    Source:          29 CFR 1910.106(a)(19) for given values; the strength rule is our
                     own, on the safe side of two PHMSA letters (06-0191, 11-0141)

    >>> liquid_class(vv_pct=17.7).category
    3
    """
    between(
        vv_pct,
        low=0,
        high=100,
        what="The strength",
        unit="% v/v",
        remedy="Read it off the label of the stock.",
    )
    if flash_point_c is not None:
        boiling = _LOWEST_MIX_BOILING_C if boiling_point_c is None else boiling_point_c
        category = flammable_category(
            flash_point_c=flash_point_c,
            boiling_point_c=boiling,
            category_4_to_c=category_4_to_c,
        )
        found = _by_flash_point(category, flash_point_c, boiling, ground)
        return found if basis is None else replace(found, basis=basis)
    return _by_strength(vv_pct)


def _by_flash_point(
    category: int | None, flash_c: float, boiling_c: float, ground: Ground
) -> LiquidClass:
    if ground is Ground.STRENGTH:
        told = f"Say where the flash point of {flash_c:g} °C comes from: "
        raise ValueError(told + "measured or data sheet.")
    flash = given(flash_c, "degc", ground.value)
    return LiquidClass(
        category=category,
        nfpa=nfpa_class(flash_point_c=flash_c, boiling_point_c=boiling_c),
        below_100f=flash_c < FLAG_BELOW_C - _EDGE,
        flash=flash,
        ground=ground,
        basis=(
            say("Flash point {flash} measured by the shop.", flash=flash)
            if ground is Ground.MEASURED
            else say("Flash point {flash} from the data sheet.", flash=flash)
        ),
        source=_RULE,
    )


def _by_strength(vv_pct: float) -> LiquidClass:
    flash = flash_figure(vv_pct=vv_pct)
    source = f"{_RULE}; default by strength, PHMSA letters 06-0191 and 11-0141"
    if vv_pct >= CAT_2_FROM_VV_PCT - _EDGE:
        category: int | None = 2
        basis = say("Not measured; by strength: 20 % v/v or more counts as category 2.")
    elif vv_pct >= CAT_3_FROM_VV_PCT - _EDGE:
        category = 3
        basis = say("Not measured; by strength: 2 to 20 % v/v counts as category 3.")
    elif vv_pct > 0:
        category = None
        basis = say("Not measured; below 2 % v/v not classified by default: verify.")
    else:
        category = None
        basis = say("No alcohol in it.")
    return LiquidClass(
        category=category,
        nfpa={2: "IB", 3: "IC"}.get(category or 0),
        below_100f=category is not None,
        flash=flash,
        ground=Ground.STRENGTH,
        basis=basis,
        source=source,
    )


def _check_points(flash_point_c: float, boiling_point_c: float | None) -> None:
    _check_point(flash_point_c, "The flash point")
    if boiling_point_c is not None:
        _check_point(boiling_point_c, "The boiling point")


def _check_point(value_c: float, what: str) -> None:
    between(
        value_c,
        low=FLASH_POINT_C.low,
        high=FLASH_POINT_C.high,
        what=what,
        unit="°C",
        remedy="Read it in section 9 of the data sheet.",
    )
