"""What stands on a vessel: its kind for life, and what it was filled with (pure).

A small label carries what must be read at arm's length; a large one is complete.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from mixing.safety.labels import (
    IN_FORCE,
    OPEN_STANDARD,
    PICTOGRAM_NAMES,
    Hazard,
    LabelElements,
    Phrase,
    hazards_asked,
    label_elements,
    mixture_hazards,
    solution_ingredients,
)
from mixing.safety.rules import SafetyRules

COMPLETE_FROM_MM = (90.0, 55.0)
"""From this width and height on a label carries everything."""
WORDED_FROM_MM = (57.0, 32.0)
"""From here on its hazards are read; a smaller one has code, kind and signal word."""

COMPLETE_PT = (6.2, 100.0, 60.0)
WORDED_PT = (5.4, 57.0, 32.0)
BARE_PT = (5.4, 40.0, 20.0)
"""Size of the plain text, and the label it was drawn for; others go in proportion."""


@dataclass(frozen=True, kw_only=True)
class LabelFacts:
    """Everything a vessel's label may carry; its size decides how much it does.

    is_complete  the size holds the full text
    is_bare      the size holds code, kind and signal word only
    text_pt      size of its plain text, points; all else follows it
    letter       of the kind, stands in its shape
    flash        a measured flash point that the hazards rest on
    not_known    a hazard that nobody has read off its data sheet yet
    batch ...    of a fill label; empty on the permanent one
    """

    width_mm: float
    height_mm: float
    is_complete: bool
    is_bare: bool
    text_pt: float
    code: str
    kind: str
    letter: str
    shape: str
    contents: str
    signal: str
    pictograms: tuple[str, ...]
    pictogram_codes: tuple[str, ...]
    hazard_texts: tuple[str, ...]
    precautions: tuple[str, ...]
    hazard_source: str
    flash: str = ""
    not_known: str = ""
    shop: str = ""
    batch: str = ""
    order: str = ""
    mixed_at: datetime | None = None
    mixed_by: str = ""
    discard_at: datetime | None = None
    strength: str = ""
    soap: str = ""


@dataclass(frozen=True, kw_only=True)
class Filled:
    """What a fill label adds."""

    batch: str
    order: str
    mixed_at: datetime
    mixed_by: str
    discard_at: datetime
    strength: str
    soap: str


def label_facts(
    *,
    width_mm: float,
    height_mm: float,
    code: str,
    kind: str,
    letter: str,
    shape: str,
    contents: str,
    elements: LabelElements,
    flash: str = "",
    not_known: str = "",
    shop: str = "",
    filled: Filled | None = None,
) -> LabelFacts:
    """The label of a vessel at any size.

    width_mm, height_mm  20 to 300 mm
    elements             see hazards_of
    flash                a measured flash point, as it is read
    filled               for a fill label; None for the permanent one

    Raises ValueError in a plain sentence for a size that holds no label.
    """
    if not 20 <= width_mm <= 300 or not 12 <= height_mm <= 300:
        raise ValueError(
            "A label is 20 to 300 mm wide and 12 to 300 mm high: measure it again."
        )
    more = {} if filled is None else vars(filled)
    is_complete = _reaches(width_mm, height_mm, COMPLETE_FROM_MM)
    is_bare = not _reaches(width_mm, height_mm, WORDED_FROM_MM)
    text_pt, for_width_mm, for_height_mm = (
        COMPLETE_PT if is_complete else BARE_PT if is_bare else WORDED_PT
    )
    scale = min(width_mm / for_width_mm, height_mm / for_height_mm)
    return LabelFacts(
        width_mm=width_mm,
        height_mm=height_mm,
        is_complete=is_complete,
        is_bare=is_bare,
        text_pt=round(text_pt * scale, 3),
        code=code,
        kind=kind,
        letter=letter,
        shape=shape,
        contents=contents,
        signal=elements.signal or "",
        pictograms=tuple(PICTOGRAM_NAMES[each] for each in elements.pictograms),
        pictogram_codes=tuple(elements.pictograms),
        hazard_texts=_texts(elements.hazard_phrases),
        precautions=_texts(elements.precautions),
        hazard_source=elements.source,
        flash=flash,
        not_known=not_known,
        shop=shop,
        **more,
    )


def _texts(phrases: Iterable[Phrase]) -> tuple[str, ...]:
    return tuple(f"{phrase.code} {phrase.text}" for phrase in phrases)


def _reaches(width_mm: float, height_mm: float, least: tuple[float, float]) -> bool:
    return width_mm >= least[0] and height_mm >= least[1]


def hazards_of(
    *,
    vv_pct: float,
    soap_mass_pct: float,
    soap_hazards: Iterable[Hazard],
    category: int | None,
    rules: SafetyRules,
) -> tuple[LabelElements, tuple[Hazard, ...]]:
    """Label elements of a mix of that strength and category, and what is not known.

    The second are hazards whose cut-off the rules gone by do not say.
    """
    ingredients = solution_ingredients(
        vv_pct=vv_pct, soap_mass_pct=soap_mass_pct, soap_hazards=soap_hazards
    )
    hazards = mixture_hazards(
        ingredients=ingredients, flammable_category=category, cutoffs=rules.cutoffs
    )
    source = IN_FORCE if rules.is_example else OPEN_STANDARD
    elements = label_elements(hazards=hazards, source=source)
    return elements, tuple(
        hazard
        for hazard in hazards_asked(ingredients)
        if rules.lacking(f"label:{hazard}")
    )
