"""The lines of products used as they come: gel, wipes, removers (pure)."""

from __future__ import annotations

import re
from dataclasses import replace

from mixing.safety.flammable import FLAG_BELOW_C, Ground, LiquidClass
from mixing.safety.labels import Hazard, LabelElements, label_elements
from mixing.safety.product import ProductSheet
from mixing.safety.request import PrepUse
from mixing.safety.states import SafetyLine, State
from shopapp.figures import given
from shopapp.say import Say, say

_DATA_SHEET = "safety data sheet of the product"
_FLAMMABLE = {
    1: Hazard.FLAM_1,
    2: Hazard.FLAM_2,
    3: Hazard.FLAM_3,
    4: Hazard.FLAM_4,
}


def product_class(sheet: ProductSheet) -> LiquidClass:
    """Class of a product whose sheet was read, in the form of a mix's."""
    flash = sheet.flash_point_c
    return LiquidClass(
        category=sheet.category or None,
        nfpa=None,
        # Without a flash point category 3 is taken as its more flammable half.
        below_100f=sheet.category in (1, 2, 3)
        and (flash is None or flash < FLAG_BELOW_C),
        flash=None if flash is None else given(flash, "degc", "data sheet"),
        ground=Ground.DATA_SHEET,
        basis=say("From its own data sheet."),
        source=_DATA_SHEET,
    )


def product_hazards(sheet: ProductSheet) -> tuple[Hazard, ...] | None:
    """What its label holds, straight from its sheet; None: not read."""
    if sheet.hazards is None or sheet.category is None:
        return None
    burns = [_FLAMMABLE[sheet.category]] if sheet.category else []
    return (*burns, *sheet.hazards)


_DANGER = re.compile(r"H(30[014]|31[01]|33[014]|340|350|360|37[02])")
_WARNING = re.compile(r"H(30[235]|31[236]|320|33[23]|341|351|361|37[13])")
"""Signal words of codes that no label here is made of: GHS annex 1 (from memory)."""


def product_label(sheet: ProductSheet, *, source: str) -> LabelElements | None:
    """Its label straight from its sheet; None: not read.

    The signal word is that of all its codes, whether or not each stands on the label.
    """
    hazards = product_hazards(sheet)
    if hazards is None:
        return None
    elements = label_elements(hazards=hazards, source=source)
    if any(map(_DANGER.match, sheet.left_out)):
        return replace(elements, signal="Danger")
    if elements.signal is None and any(map(_WARNING.match, sheet.left_out)):
        return replace(elements, signal="Warning")
    return elements


def product_class_line(name: str, sheet: ProductSheet) -> SafetyLine:
    """How readily a ready-made solution burns."""
    return _class_line(
        name,
        sheet.category,
        sheet.codes if sheet.hazards is not None else None,
        need=f"solution.{name}.class",
    )


def prep_line(prep: PrepUse) -> SafetyLine:
    """How readily a prep chemical burns, and every code of its sheet."""
    return _class_line(
        prep.name, prep.category, prep.codes, need=f"prep.{prep.name}.category"
    )


def _class_line(
    name: str, category: int | None, codes: tuple[str, ...] | None, *, need: str
) -> SafetyLine:
    key = f"class:{name}"
    if category is None:
        return SafetyLine(
            key=key,
            section="liquid",
            state=State.NOT_ASSESSED,
            sentence=say("{name}: not assessed, treat as highly flammable.", name=name),
            source=_DATA_SHEET,
            missing=(need,),
        )
    return SafetyLine(
        key=key,
        section="liquid",
        state=State.WATCH if codes is None else State.OK,
        sentence=_class_sentence(name, category, codes),
        basis=say("By strength; section 2 of its data sheet is not read.")
        if codes is None
        else say("Category from the data sheet."),
        source=_DATA_SHEET,
    )


def _class_sentence(name: str, category: int, codes: tuple[str, ...] | None) -> Say:
    burns = (
        "{name}: flammable category {category}"
        if category
        else "{name}: not classified as flammable"
    )
    if codes is None:
        return say(
            burns + "; its other hazards are not read.", name=name, category=category
        )
    if not codes:
        return say(burns + ".", name=name, category=category)
    return say(
        burns + "; {codes}.", name=name, category=category, codes=" ".join(codes)
    )
