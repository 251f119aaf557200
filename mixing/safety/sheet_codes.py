"""Hazard codes as data sheets print them, read into one form (pure)."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass

from mixing.safety.labels import Hazard
from mixing.tables import table
from shopapp.say import Say, say

FLAMMABLE_BY_CODE: Mapping[str, int] = {"H224": 1, "H225": 2, "H226": 3, "H227": 4}
HAZARD_BY_CODE: Mapping[str, Hazard] = {
    "H318": Hazard.EYE_DAMAGE_1,
    "H319": Hazard.EYE_IRRIT_2,
    "H314": Hazard.SKIN_CORR_1,
    "H315": Hazard.SKIN_IRRIT_2,
    "H317": Hazard.SKIN_SENS_1,
    "H336": Hazard.STOT_SE_3_NARCOTIC,
    "H335": Hazard.STOT_SE_3_IRRITANT,
}
"""H statements of the open standard and the classes they stand for (GHS annex 3)."""

NONE, NOT_FLAMMABLE_WORD = "none", "not flammable"
"""How a sheet that names no hazard, and a liquid that does not burn, are kept."""

_CLASSES = table("hazard_classes")
_KNOWN = frozenset(code for row in _CLASSES for code in row["codes"].split())


def _pattern(name: str, category: str) -> re.Pattern[str]:
    """ "flam liq", "2": however the words are abbreviated, with a sub-category."""
    words = r"[\s,/-]*".join(rf"{word}\w*\.?" for word in name.split())
    number = rf"[\s,:(-]*(?:cat\w*\.?\s*)?{category}[ABC]?\b\)?" if category else ""
    return re.compile(rf"\b{words}{number}", re.IGNORECASE)


_NAMED = tuple(
    (_pattern(row["name"], row["category"]), tuple(row["codes"].split()))
    for row in _CLASSES
)
_STATEMENTS = re.compile(
    "|".join(
        re.escape(row["h_text"]).replace("vapor", "vapou?r")
        for row in table("label_elements")
    ),
    re.IGNORECASE,
)
_NOTHING = re.compile(
    r"\b(none|not classified|no hazards?|not hazardous|nothing)\b", re.IGNORECASE
)
_NO_FLAME = re.compile(r"\b(not|non)[\s-]*flammable\b", re.IGNORECASE)
_CODE = re.compile(
    r"\bEUH\s?\d{3}[A-Z]?\b|\b(?:H[\s-]?)?(\d{3})([A-Z]{0,2})\b", re.IGNORECASE
)
_PRECAUTION = re.compile(r"\bP\s?\d{3}\b", re.IGNORECASE)
_FILLER = re.compile(
    r"\b(and|danger|warning|serious)\b|[,;/+&|.:()\[\]–—-]", re.IGNORECASE
)


@dataclass(frozen=True, kw_only=True)
class SheetCodes:
    """What section 2 of a data sheet says.

    codes            H and EUH codes, in order
    is_none          it was read and names no hazard
    is_not_flammable  somebody read that the liquid does not burn
    not_understood   the words that no code or class was found in
    """

    codes: tuple[str, ...] = ()
    is_none: bool = False
    is_not_flammable: bool = False
    not_understood: tuple[str, ...] = ()

    @property
    def is_read(self) -> bool:
        """Whether it says anything, and all of it is understood."""
        said = self.codes or self.is_none or self.is_not_flammable
        return bool(said) and not self.not_understood

    @property
    def flammable_category(self) -> int | None:
        """The gravest flammable category that a code names, 1 to 4."""
        found = [FLAMMABLE_BY_CODE[code] for code in self.codes if code in _FLAMMABLE]
        return min(found, default=None)

    @property
    def hazards(self) -> tuple[Hazard, ...]:
        """The classes that a mix may take over."""
        return tuple(HAZARD_BY_CODE[code] for code in self.codes if code in _MIXED)

    @property
    def left_out(self) -> tuple[str, ...]:
        """Codes of health that no rule for mixes here works with."""
        return tuple(
            code
            for code in self.codes
            if code not in _MIXED and code not in _FLAMMABLE and code[:2] != "H4"
        )

    @property
    def text(self) -> str:
        """As it is kept."""
        words = [NONE] if self.is_none and not self.codes else []
        words += [NOT_FLAMMABLE_WORD] if self.is_not_flammable else []
        return ", ".join((*self.codes, *words))

    @property
    def trouble(self) -> Say | None:
        """What to say at the field, or None."""
        if not self.not_understood:
            return None
        return say(
            "Not understood: {words}. Type codes such as H225, H319 or a class such as "
            "Flam. Liq. 2; none where section 2 names no hazard; not flammable where "
            "it says so.",
            words=", ".join(self.not_understood),
        )


_FLAMMABLE, _MIXED = frozenset(FLAMMABLE_BY_CODE), frozenset(HAZARD_BY_CODE)


def read_codes(text: str) -> SheetCodes:
    """The codes of a data sheet however it prints them.

        codes apart by comma, semicolon, slash, plus or blank; "H 225", "225"; classes
        such as "Flam. Liq. 2"; "none", "not flammable"

    text     as it was typed or pasted
    Not for: precautions: P codes are read over.
    Source:  codes of GHS annex 3, class names of its chapters (from memory)

    >>> read_codes("H225; H 319/336").codes
    ('H225', 'H319', 'H336')
    >>> read_codes("Flam. Liq. 2").flammable_category
    2
    >>> read_codes("hallo").not_understood
    ('hallo',)
    """
    rest = _STATEMENTS.sub(" ", text)
    no_flame, rest = bool(_NO_FLAME.search(rest)), _NO_FLAME.sub(" ", rest)
    nothing, rest = bool(_NOTHING.search(rest)), _NOTHING.sub(" ", rest)
    named, unsure, rest = _named_classes(rest)
    rest = _PRECAUTION.sub(" ", rest)
    found, strange = set(named), []
    for match in _CODE.finditer(rest):
        code = _one_form(match)
        if code[:3] == "EUH" or code[:4] in _KNOWN:
            found.add(code)
        else:
            strange.append(match.group().strip())
    # "STOT SE 3" beside H336 says nothing new; alone it could be one of two.
    strange += [name for name, codes in unsure if not found & set(codes)]
    if no_flame and found & _FLAMMABLE:
        strange.append(NOT_FLAMMABLE_WORD)
    words = _FILLER.sub(" ", _CODE.sub(" ", rest)).split()
    return SheetCodes(
        codes=tuple(sorted(found)),
        is_none=nothing,
        is_not_flammable=no_flame and not found & _FLAMMABLE,
        not_understood=(*strange, *words),
    )


def _one_form(match: re.Match[str]) -> str:
    if match.group(1) is None:
        return re.sub(r"\s", "", match.group()).upper()
    return f"H{match.group(1)}{match.group(2)}"


def _named_classes(
    text: str,
) -> tuple[set[str], list[tuple[str, tuple[str, ...]]], str]:
    """Codes of classes called by name, names of more than one code, and the rest."""
    found: set[str] = set()
    unsure: list[tuple[str, tuple[str, ...]]] = []
    for pattern, codes in _NAMED:
        for match in pattern.finditer(text):
            if len(codes) == 1:
                found.add(codes[0])
            else:
                unsure.append((match.group().strip(), codes))
        text = pattern.sub(" ", text)
    return found, unsure, text
