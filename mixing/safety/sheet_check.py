"""What of a data sheet does not fit together, said at the field it stands in (pure)."""

from __future__ import annotations

from mixing.safety.flammable import (
    CAT_3_FROM_VV_PCT,
    CATEGORY_2_BELOW_C,
    check_category,
)
from mixing.safety.rules import CATEGORY_4, SafetyRules
from mixing.safety.sheet_codes import SheetCodes
from shopapp.figures import given
from shopapp.say import Say, say


def sheet_troubles(
    read: SheetCodes,
    *,
    strength_pct: float | None,
    flash_point_c: float | None,
    boiling_point_c: float | None,
    rules: SafetyRules,
) -> list[tuple[str, Say | str]]:
    """What is wrong with a data sheet as typed: (field, sentence).

        every word of the codes is understood;  their category fits the flash point;
        alcohol of 2 % and up is never kept as harmless

    strength_pct  of alcohol in it, %; None: not alcohol, or not said
    """
    if read.trouble is not None:
        return [("hazard_codes", read.trouble)]
    harmless = read.is_not_flammable or (read.is_none and not read.codes)
    burns = strength_pct is not None and strength_pct >= CAT_3_FROM_VV_PCT
    if harmless and burns and flash_point_c is None:
        told = say(
            "{strength} alcohol burns. Read section 2 again for H225 or H226, or leave "
            "this empty: then it is classed by its strength.",
            strength=given(strength_pct or 0.0, "pct", "typed"),
        )
        return [("hazard_codes", told)]
    return _flash_troubles(read, flash_point_c, boiling_point_c, rules)


def _flash_troubles(
    read: SheetCodes,
    flash_point_c: float | None,
    boiling_point_c: float | None,
    rules: SafetyRules,
) -> list[tuple[str, Say | str]]:
    if flash_point_c is None:
        return []
    category = read.flammable_category
    if category is not None:
        try:
            _fits_flash_point(
                category=category,
                flash_point_c=flash_point_c,
                boiling_point_c=boiling_point_c,
                rules=rules,
            )
        except ValueError as error:
            return [("flash_point_c", str(error))]
    elif flash_point_c < CATEGORY_2_BELOW_C and boiling_point_c is None:
        told = say(
            "With this flash point the category needs the boiling point, or the code "
            "of section 2: H224 or H225."
        )
        return [("boiling_point_c", told)]
    return []


def _fits_flash_point(
    *,
    category: int,
    flash_point_c: float,
    boiling_point_c: float | None,
    rules: SafetyRules,
) -> None:
    """Raise ValueError when a data sheet's category and flash point disagree.

    Below 23 °C the boiling point parts category 1 from 2; where nobody entered it
    both are believed; above category 3 the rules that the shop goes by have to say
    where category 4 ends.
    """
    if rules.lacking_to_class(flash_point_c):
        return
    below = flash_point_c < CATEGORY_2_BELOW_C
    if below and boiling_point_c is None:
        if category in (1, 2):
            return
        raise ValueError(
            f"A flash point of {flash_point_c:g} °C belongs to category 1 or 2, not "
            f"category {category}. Correct the one that was read wrongly; section 9 of "
            "the data sheet has both."
        )
    check_category(
        category=category,
        flash_point_c=flash_point_c,
        boiling_point_c=boiling_point_c,
        category_4_to_c=rules.limit(CATEGORY_4).value,
    )
