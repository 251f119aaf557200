"""What the label of a mixed bottle must say (pure).

Cut-offs are compared by mass percent only. Which hazards the soap brings is read off
its own data sheet and added in; many soaps irritate below the generic cut-off.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from functools import cache

from mixing.chemistry.alcohol import mass_fraction
from mixing.safety.bounds import between
from mixing.tables import Row, table


class Hazard(StrEnum):
    """Hazard classes that shop liquids meet; names as in data/label_elements.csv."""

    FLAM_1 = "FLAM_1"
    FLAM_2 = "FLAM_2"
    FLAM_3 = "FLAM_3"
    FLAM_4 = "FLAM_4"
    EYE_DAMAGE_1 = "EYE_DAMAGE_1"
    EYE_IRRIT_2 = "EYE_IRRIT_2"
    SKIN_CORR_1 = "SKIN_CORR_1"
    SKIN_IRRIT_2 = "SKIN_IRRIT_2"
    SKIN_SENS_1 = "SKIN_SENS_1"
    STOT_SE_3_NARCOTIC = "STOT_SE_3_NARCOTIC"
    STOT_SE_3_IRRITANT = "STOT_SE_3_IRRITANT"


ISOPROPANOL_HAZARDS = frozenset({Hazard.EYE_IRRIT_2, Hazard.STOT_SE_3_NARCOTIC})
"""Health hazards of pure isopropanol: 70 % data sheet, H319 and H336."""

CORROSIVE = "GHS05"
EXCLAMATION = "GHS07"
PICTOGRAM_NAMES = {
    "GHS02": "flame",
    "GHS05": "corrosion",
    "GHS07": "exclamation mark",
}
IN_FORCE = "29 CFR 1910.1200(f)(6)(i)"
OPEN_STANDARD = "GHS chapter 1.4 and annex 3"


def _parts() -> dict[Hazard, list[Row]]:
    found: dict[Hazard, list[Row]] = defaultdict(list)
    for row in table("label_cutoffs"):
        found[Hazard(row["hazard"])].append(row)
    return dict(found)


_PARTS = _parts()
CUTOFF_HAZARDS = tuple(_PARTS)
"""The hazards that a mixture may take over from its ingredients."""


@dataclass(frozen=True, kw_only=True)
class Ingredient:
    """One part of a mixture: share by mass and its own health hazards."""

    name: str
    mass_pct: float
    hazards: frozenset[Hazard]


@dataclass(frozen=True, kw_only=True)
class Phrase:
    """A hazard or precaution: code of the open standard and our short wording."""

    code: str
    text: str


@dataclass(frozen=True, kw_only=True)
class LabelElements:
    """Everything a full workplace label carries besides the bottle's name."""

    hazards: tuple[Hazard, ...]
    signal: str | None
    pictograms: tuple[str, ...]
    hazard_phrases: tuple[Phrase, ...]
    precautions: tuple[Phrase, ...]
    source: str

    @property
    def h_codes(self) -> tuple[str, ...]:
        return tuple(phrase.code for phrase in self.hazard_phrases)

    @property
    def p_codes(self) -> tuple[str, ...]:
        return tuple(phrase.code for phrase in self.precautions)


def mixture_hazards(
    *,
    ingredients: Sequence[Ingredient],
    flammable_category: int | None,
    cutoffs: Mapping[Hazard, float | None] | None = None,
) -> tuple[Hazard, ...]:
    """Hazards of a mixture from the shares of its ingredients.

        sum(weight * mass %) >= cut-off      rows of data/label_cutoffs.csv, cut-offs
                                             of the rules gone by

    ingredients         shares in % by mass, together at most 100
    flammable_category  of the mixture itself, 1 to 4, or None
    cutoffs             % by mass from which a hazard is taken over; None for one:
                        never. Without them those of the federal example
    Not for:            mixtures that were tested as a whole: use their data sheet.
    Source:             29 CFR 1910.1200 Appendix A.2, A.3, A.4, A.8 and GHS chapters
                        3.2, 3.3, 3.8 (from memory; basis by mass: CLP Annex I)

    >>> ipa = Ingredient(name="IPA", mass_pct=14.2, hazards=ISOPROPANOL_HAZARDS)
    >>> [str(h) for h in mixture_hazards(ingredients=[ipa], flammable_category=3)]
    ['FLAM_3', 'EYE_IRRIT_2']
    """
    _check_shares(ingredients)
    if flammable_category not in (None, 1, 2, 3, 4):
        raise ValueError(
            f"A flammable category is 1 to 4 or none, not {flammable_category}."
        )
    known = example_cutoffs() if cutoffs is None else cutoffs
    met = {
        hazard
        for hazard, rows in _PARTS.items()
        if _is_met(rows, ingredients, known.get(hazard))
    }
    if flammable_category is not None:
        met.add(Hazard(f"FLAM_{int(flammable_category)}"))
    return _most_severe(met)


def label_elements(
    *, hazards: Iterable[Hazard], source: str = IN_FORCE
) -> LabelElements:
    """Signal word, pictograms and phrases for a set of hazards.

        union of the codes, each once; Danger beats Warning; of one endpoint only the
        more severe; corrosion replaces the exclamation mark of skin and eye

    hazards   of the mixture, any order
    source    the text that asks for a label, as the label names it
    Not for:  a label on goods that are sold: print the wording of Appendix C there.
    Source:   CLP Annex I Tables 2.6.2, 3.3.5, 3.8.4; 29 CFR 1910.1200 Appendix C

    >>> elements = label_elements(hazards=[Hazard.FLAM_2, Hazard.EYE_IRRIT_2])
    >>> elements.signal, elements.pictograms, elements.h_codes
    ('Danger', ('GHS02', 'GHS07'), ('H225', 'H319'))
    """
    kept = _most_severe(hazards)
    rows = [_row_of(hazard) for hazard in kept]
    signals = {row["signal"] for row in rows}
    texts = {row["code"]: row["text"] for row in table("label_phrases")}
    p_codes = {code for row in rows for code in row["p_codes"].split()}
    return LabelElements(
        hazards=kept,
        signal=next((word for word in ("Danger", "Warning") if word in signals), None),
        pictograms=_pictograms(rows),
        hazard_phrases=tuple(
            Phrase(code=row["h_code"], text=row["h_text"])
            for row in sorted(rows, key=lambda row: row["h_code"])
        ),
        precautions=tuple(
            Phrase(code=code, text=texts[code]) for code in sorted(p_codes)
        ),
        source=source,
    )


def solution_ingredients(
    *,
    vv_pct: float,
    soap_mass_pct: float = 0.0,
    soap_hazards: Iterable[Hazard] = (),
) -> tuple[Ingredient, ...]:
    """Alcohol and soap of a solution as shares by mass.

        alcohol mass % = 100 * mass_fraction(vv_pct), at most what the soap leaves

    vv_pct         isopropanol, % v/v, 0 to 100
    soap_mass_pct  soap as bought, % by mass, 0 to 100
    soap_hazards   from section 2 of the soap's data sheet
    Not for:       a second solvent: add it as its own ingredient.
    Source:        density table of mixing.chemistry.alcohol

    >>> round(solution_ingredients(vv_pct=17.7)[0].mass_pct, 1)
    14.2
    """
    between(
        soap_mass_pct,
        low=0,
        high=100,
        what="The share of soap",
        unit="% by mass",
        remedy="2 mL in 950 mL is about 0.2 %.",
    )
    # Not thinned by the soap: more soap must never take a word off the label.
    alcohol_pct = min(100 * mass_fraction(vv_pct=vv_pct), 100 - soap_mass_pct)
    parts = [
        Ingredient(
            name="isopropanol", mass_pct=alcohol_pct, hazards=ISOPROPANOL_HAZARDS
        )
    ]
    if soap_mass_pct:
        parts.append(
            Ingredient(
                name="soap", mass_pct=soap_mass_pct, hazards=frozenset(soap_hazards)
            )
        )
    return tuple(parts)


def hazards_asked(ingredients: Sequence[Ingredient]) -> tuple[Hazard, ...]:
    """The hazards whose cut-off decides something about these ingredients.

    >>> ipa = Ingredient(name="IPA", mass_pct=14.2, hazards=ISOPROPANOL_HAZARDS)
    >>> [str(hazard) for hazard in hazards_asked([ipa])]
    ['EYE_IRRIT_2', 'STOT_SE_3_NARCOTIC']
    """
    brought = {h for part in ingredients if part.mass_pct > 0 for h in part.hazards}
    return tuple(
        hazard
        for hazard, rows in _PARTS.items()
        if brought & {Hazard(row["part"]) for row in rows}
    )


@cache
def example_cutoffs() -> Mapping[Hazard, float | None]:
    """Cut-offs of the shipped federal example, % by mass."""
    return {
        Hazard(row["key"].removeprefix("label:")): float(row["value"])
        for row in table("rule_limits")
        if row["key"].startswith("label:") and row["jurisdiction"] == "United States"
    }


def _is_met(
    rows: Sequence[Row], ingredients: Sequence[Ingredient], cutoff_pct: float | None
) -> bool:
    if cutoff_pct is None:
        return False
    weights = {Hazard(row["part"]): float(row["weight"]) for row in rows}
    shares = [
        # An ingredient counts once, by its heaviest entry in this rule.
        max((weights[h] for h in part.hazards if h in weights), default=0.0)
        * part.mass_pct
        for part in ingredients
    ]
    found = sum(shares) if rows[0]["how"] == "sum" else max(shares, default=0.0)
    return found >= cutoff_pct - 1e-9


def _most_severe(hazards: Iterable[Hazard]) -> tuple[Hazard, ...]:
    worst: dict[str, Hazard] = {}
    for hazard in hazards:
        row = _row_of(hazard)
        known = worst.get(row["endpoint"])
        if known is None or row["severity"] > _row_of(known)["severity"]:
            worst[row["endpoint"]] = hazard
    return tuple(hazard for hazard in Hazard if hazard in worst.values())


def _row_of(hazard: Hazard) -> Row:
    for row in table("label_elements"):
        if row["hazard"] == hazard:
            return row
    raise ValueError(
        f"{hazard!r} is no hazard class that a label can be made of. Choose the one "
        "that section 2 of the data sheet names."
    )


def _pictograms(rows: Sequence[Row]) -> tuple[str, ...]:
    corrosive = any(row["pictogram"] == CORROSIVE for row in rows)
    return tuple(
        sorted(
            {
                row["pictogram"]
                for row in rows
                if row["pictogram"]
                and not (
                    corrosive
                    and row["pictogram"] == EXCLAMATION
                    and row["endpoint"] in ("skin", "eye")
                )
            }
        )
    )


def _check_shares(ingredients: Sequence[Ingredient]) -> None:
    for part in ingredients:
        between(
            part.mass_pct,
            low=0,
            high=100,
            what=f"The share of {part.name}",
            unit="% by mass",
            remedy="Turn a strength by volume into mass first.",
        )
        for hazard in part.hazards:
            _row_of(hazard)  # One that is not known would be left out in silence.
    total = sum(part.mass_pct for part in ingredients)
    if total > 100.001:
        raise ValueError(
            f"The parts of the mixture add up to {total:g} % by mass. Check them: "
            "together they cannot pass 100 %."
        )
