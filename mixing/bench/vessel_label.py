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
"""From here on its hazards stand as statements; a smaller one has them in few words."""
LEAST_MM, MOST_MM = (40.0, 20.0), 300.0
"""A smaller label has no room for what must stand on it at a size that is read."""
TOO_SMALL = (
    "A label is 40 to 300 mm wide and 20 to 300 mm high: a smaller one has no room for "
    "what is in it and its hazards."
)

SHORT_WORDS = {
    Hazard.FLAM_1: "extremely flammable",
    Hazard.FLAM_2: "highly flammable",
    Hazard.FLAM_3: "flammable",
    Hazard.FLAM_4: "combustible",
    Hazard.EYE_DAMAGE_1: "damages eyes",
    Hazard.EYE_IRRIT_2: "irritates eyes",
    Hazard.SKIN_CORR_1: "burns skin",
    Hazard.SKIN_IRRIT_2: "irritates skin",
    Hazard.SKIN_SENS_1: "allergy",
    Hazard.STOT_SE_3_NARCOTIC: "makes drowsy",
    Hazard.STOT_SE_3_IRRITANT: "irritates airways",
}
"""Words for general hazard information, 29 CFR 1910.1200(f)(6)(ii); our own wording."""

COMPLETE_PT = (6.2, 100.0, 60.0)
WORDED_PT = (5.4, 57.0, 32.0)
BARE_PT = (5.4, 40.0, 20.0)
"""Size of the plain text, and the label it was drawn for; others go in proportion."""


@dataclass(frozen=True, kw_only=True)
class LabelFacts:
    """Everything a vessel's label may carry; its size decides how much it does.

    is_complete  the size holds the full text
    is_bare      the size holds its hazards in few words only
    short_words  the hazards in few words
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
    short_words: str = ""
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

    width_mm, height_mm  40 to 300 mm and 20 to 300 mm
    elements             see hazards_of
    flash                a measured flash point, as it is read
    filled               for a fill label; None for the permanent one

    Raises ValueError in a plain sentence for a size that holds no label.
    """
    if not holds_a_label(width_mm, height_mm):
        raise ValueError(TOO_SMALL)
    more = {} if filled is None else vars(filled)
    is_complete = _reaches(width_mm, height_mm, COMPLETE_FROM_MM)
    is_bare = is_bare_size(width_mm, height_mm)
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
        short_words=", ".join(SHORT_WORDS[each] for each in elements.hazards),
        shop=shop,
        **more,
    )


def holds_a_label(width_mm: float, height_mm: float) -> bool:
    """Whether a size has room for a label."""
    fits = _reaches(width_mm, height_mm, LEAST_MM)
    return fits and max(width_mm, height_mm) <= MOST_MM


def is_bare_size(width_mm: float, height_mm: float) -> bool:
    """Whether a size holds its hazards in few words only."""
    return not _reaches(width_mm, height_mm, WORDED_FROM_MM)


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
