"""A flash point that a test found, and the mixes that it stands for (pure).

A measurement is of one mix: a recipe in one version at one strength. It wins over
the estimate and over the category by strength, for that mix and for none stronger.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from mixing.chemistry.alcohol import mass_fraction
from mixing.safety.flammable import Ground, check_category
from mixing.safety.flash_point import PURE_FLASH_C, flash_estimate
from shopapp.figures import formula, given
from shopapp.say import Say, say

STRONGER_SHARE = 0.02
STRONGER_MOST_VV_PCT = 0.5
"""So much stronger than the mix measured may a mix be: a share of the strength, and at
most so many % v/v. By the estimate the flash point falls less than 0.3 K on it, below
what a closed cup repeats (about 1 K, from memory)."""
WEAKER_TO = 0.8
"""And so much weaker, as a share: it flashes up to 3.3 K higher than the value says,
which is the safe side. A much weaker mix is a mix of its own."""

_FAR_BELOW_K, _FAR_ABOVE_K = 10.0, 15.0
_NONE_FOUND_C = 95.0
_HIGHEST_C = 100.0
_LOWEST_C = PURE_FLASH_C - 2.0


@dataclass(frozen=True, kw_only=True)
class FlashMeasurement:
    """What a test or a data sheet says of one mix.

    key            tells it from others
    recipe         key of the recipe's version, "tack-2"
    vv_pct         strength of the mix that was tested, % v/v
    flash_point_c  °C; boiling_point_c the same, or None
    closed_cup     an open cup reads higher and is not taken for a closed one
    by, on         laboratory, data sheet or person, and the day of it
    """

    key: int
    kind: str
    recipe: str
    vv_pct: float
    flash_point_c: float
    boiling_point_c: float | None
    closed_cup: bool
    ground: Ground
    by: str
    on: date


@dataclass(frozen=True, kw_only=True)
class Mix:
    """The mix that is asked about: strength as it is, and at the end of its range."""

    kind: str
    recipe: str
    vv_pct: float
    vv_high_pct: float


@dataclass(frozen=True, kw_only=True)
class KnownFlash:
    """A measured value taken for a mix, with the sentence that says why."""

    flash_point_c: float
    boiling_point_c: float | None
    ground: Ground
    basis: Say
    key: int


@formula("flash_measurement.strongest_vv_pct")
def strongest_vv_pct(*, vv_pct: float) -> float:
    """The strongest mix that a measurement stands for, % v/v.

        vv + min(2 % of vv, 0.5 % v/v)

    vv_pct   strength of the mix measured, % v/v, above 0 to 100
    Not for: a mix of another kind.
    Source:  our own rule; slope of the estimate of flash_point_c

    >>> round(strongest_vv_pct(vv_pct=17.7), 2)
    18.05
    """
    return min(100.0, vv_pct + min(STRONGER_SHARE * vv_pct, STRONGER_MOST_VV_PCT))


@formula("flash_measurement.weakest_vv_pct")
def weakest_vv_pct(*, vv_pct: float) -> float:
    """The weakest mix that a measurement stands for, % v/v.

        0.8 * vv

    vv_pct   strength of the mix measured, % v/v, above 0 to 100
    Not for: a mix of another kind.
    Source:  our own rule; slope of the estimate of flash_point_c

    >>> round(weakest_vv_pct(vv_pct=17.7), 2)
    14.16
    """
    return WEAKER_TO * vv_pct


def why_not(measured: FlashMeasurement, mix: Mix) -> Say | None:
    """Why a measurement is not used for a mix; None where it may be.

        same kind, closed cup, 0.8 * measured <= strength <= measured + tolerance

    Of the same recipe version its real strength counts, of another the upper end of
    its range.
    """
    if measured.kind != mix.kind:
        return say("It is of another solution.")
    if not measured.closed_cup:
        return say("Open cup: it reads higher, so it is kept and not used.")
    if mix.vv_pct <= 0:
        return say("There is no alcohol in this mix.")
    asked = mix.vv_pct
    if measured.recipe != mix.recipe:
        asked = max(mix.vv_pct, mix.vv_high_pct)
    known = given(measured.vv_pct, "vv_pct", "measured")
    own = given(asked, "vv_pct", "mixing sheet")
    if asked > strongest_vv_pct(vv_pct=measured.vv_pct) + 1e-9:
        return say(
            "Measured at {known}: a stronger mix ({own}) burns more readily.",
            known=known,
            own=own,
        )
    if mix.vv_pct < weakest_vv_pct(vv_pct=measured.vv_pct) - 1e-9:
        return say(
            "Measured at {known}: {own} is a much weaker mix.",
            known=known,
            own=given(mix.vv_pct, "vv_pct", "mixing sheet"),
        )
    return None


def known_flash(
    measurements: Iterable[FlashMeasurement], mix: Mix
) -> KnownFlash | None:
    """The measurement to go by: of the same version first, then the lowest value."""
    fitting = [each for each in measurements if why_not(each, mix) is None]
    if not fitting:
        return None
    best = min(
        fitting,
        key=lambda each: (each.recipe != mix.recipe, each.flash_point_c, each.key),
    )
    return KnownFlash(
        flash_point_c=best.flash_point_c,
        boiling_point_c=best.boiling_point_c,
        ground=best.ground,
        basis=_basis(best),
        key=best.key,
    )


def _basis(known: FlashMeasurement) -> Say:
    told = {
        Ground.MEASURED: "Measured {flash} closed cup ({by}, {on}) at {vv}; stands for "
        "{low} to {high}.",
        Ground.DATA_SHEET: "Data sheet: {flash} closed cup ({by}, {on}) at {vv}; "
        "stands for {low} to {high}.",
    }[known.ground]
    source = f"{known.by}, {known.on}"
    vv = given(known.vv_pct, "vv_pct", source)
    return say(
        told,
        flash=given(known.flash_point_c, "degc", source),
        by=known.by,
        on=known.on.isoformat(),
        vv=vv,
        low=given(weakest_vv_pct(vv_pct=known.vv_pct), "vv_pct", "0.8 of it"),
        high=given(strongest_vv_pct(vv_pct=known.vv_pct), "vv_pct", "2 % above"),
    )


def plausible_c(*, vv_pct: float) -> tuple[float, float]:
    """Between what values a typed flash point is believed, °C.

        low end of the estimate - 10 K, never below 10 °C;  high end + 15 K, to 100 °C

    vv_pct   strength of the mix, % v/v, above 0 to 100
    Not for: a check of the test: it only finds slips, such as degrees of the other
             scale.
    Source:  spread of flash_estimate; no isopropanol and water flash below the pure
             alcohol's 12 °C

    >>> plausible_c(vv_pct=17.7)
    (16, 54)
    """
    found = flash_estimate(mass_fraction=mass_fraction(vv_pct=vv_pct))
    low_c = _NONE_FOUND_C - 5.0 if found is None else found.low_c
    high_c = _HIGHEST_C if found is None else found.high_c
    low = max(_LOWEST_C, round(low_c - _FAR_BELOW_K))
    return low, min(_HIGHEST_C, round(high_c + _FAR_ABOVE_K))


def typed_troubles(
    *,
    vv_pct: float,
    flash_point_c: float,
    boiling_point_c: float | None,
    category: int | None,
    closed_cup: bool,
    category_4_to_c: float | None,
    in_fahrenheit: bool,
    is_sure: bool,
) -> list[tuple[str, Say]]:
    """What is wrong with a measurement as typed: (field, sentence).

        0 < strength <= 100;  flash < boiling;  flash near the estimate;  a category
        that was read fits both

    category         as the report names it, 0 for none; None: it names none
    category_4_to_c  as in flammable_category
    in_fahrenheit    the shop types °F
    is_sure          a low value was looked at again; it is the careful side
    """
    if not 0 < vv_pct <= 100:
        return [("vv_pct", _strength_trouble(vv_pct))]
    flash = given(flash_point_c, "degc", "typed")
    if boiling_point_c is not None and flash_point_c >= boiling_point_c:
        told = say(
            "No liquid flashes only at {flash} when it boils at {boils}: one of "
            "the two was read wrongly.",
            flash=flash,
            boils=given(boiling_point_c, "degc", "typed"),
        )
        return [("flash_point_c", told)]
    low, high = plausible_c(vv_pct=vv_pct)
    if flash_point_c > high or (flash_point_c < low and not is_sure):
        told = _far_off(vv_pct, flash_point_c, (low, high), in_fahrenheit=in_fahrenheit)
        return [("flash_point_c", told)]
    if category is None or not closed_cup:
        return []
    try:
        check_category(
            category=category or None,
            flash_point_c=flash_point_c,
            # A mix with water boils far above what parts category 1 from 2.
            boiling_point_c=80.0 if boiling_point_c is None else boiling_point_c,
            category_4_to_c=category_4_to_c,
        )
    except ValueError:
        told = say(
            "A flash point of {flash} does not belong to this category. One of the "
            "two was read wrongly.",
            flash=flash,
        )
        return [("category", told)]
    return []


def _strength_trouble(vv_pct: float) -> Say:
    if vv_pct > 100:
        return say("A strength is 100 % at most: read the report again.")
    return say(
        "Without alcohol this mix has no flash point to measure. Enter the "
        "strength of the mix that was tested."
    )


def _far_off(
    vv_pct: float,
    flash_c: float,
    range_c: tuple[float, float],
    *,
    in_fahrenheit: bool,
) -> Say:
    """That a value cannot be, with the other scale's reading where that would fit."""
    typed = flash_c * 1.8 + 32 if in_fahrenheit else flash_c
    other_c = typed if in_fahrenheit else (typed - 32) / 1.8
    facts = {
        "flash": given(flash_c, "degc", "typed"),
        "vv": given(vv_pct, "vv_pct", "typed"),
        "low": given(range_c[0], "degc", "estimate"),
        "high": given(range_c[1], "degc", "estimate"),
    }
    if range_c[0] <= other_c <= range_c[1]:
        return say(
            "{flash} cannot be for {vv}: between {low} and {high} is likely. If the "
            "report says {read}, enter {right}.",
            **facts,
            read=f"{typed:.4g} {'°C' if in_fahrenheit else '°F'}",
            right=given(other_c, "degc", "the other scale"),
        )
    if flash_c < range_c[0]:
        return say(
            "{flash} is very low for {vv}: between {low} and {high} is likely. Read "
            "value, unit and strength again; if it is so, tick that you looked.",
            **facts,
        )
    return say(
        "{flash} is too high for {vv}: between {low} and {high} is likely. Read value, "
        "unit and strength again; an open cup reads higher too.",
        **facts,
    )
