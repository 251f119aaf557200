"""Where a line stands, for shops that do not go by the federal example (pure).

Lines name the text they rest on. In a shop with its own set of rules no federal
paragraph is named unless the shop entered it: the open standard or plain practice
stands there instead.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from mixing.safety.states import SafetyLine

_CLASSES = "GHS chapter 2.6"
_PRACTICE = "general good practice, no published source"
_FIRST_AID = "safety data sheets of isopropyl alcohol"
_DILUTION = "dilution ventilation, mass balance"
_PLACES = "sum limits of the rules gone by"

OPEN = {
    "29 CFR 1910.106(a)(19)": _CLASSES,
    "29 CFR 1910.106(a)(19); default by strength, PHMSA letters 06-0191 and 11-0141": (
        f"{_CLASSES}; default by strength, our own rule"
    ),
    "29 CFR 1910.1200(f)(6)(i); CLP Annex I code sets": (
        "GHS chapter 1.4; CLP Annex I code sets"
    ),
    "29 CFR 1910.1200(g); how old is too old: shop setting": (
        "data sheets on hand; how old is too old: shop setting"
    ),
    "29 CFR 1910.106(d) and (e)": _PLACES,
    "1910.106(d)(3)(i), (e)(2)(ii)(b)": _PLACES,
    "1910.106(d)(4); the limit of a room depends on its build": (
        "the limit of a room depends on its build"
    ),
    "29 CFR 1910.106(d)(2)(iii)": "size limits of the rules gone by",
    "29 CFR 1910.106(a)(19); wait as in the safety block": (
        f"{_CLASSES}; wait as in the safety block"
    ),
    "ACGIH Industrial Ventilation; 29 CFR 1910.1000(d)": _DILUTION,
    "mass balance; 10 % of the LEL is the NIOSH IDLH for isopropanol": (
        "mass balance; 10 % of the lower explosive limit, our own mark"
    ),
    "29 CFR 1910.1000(d)(1) and (d)(2)": "average over 8 hours; effects added up",
    "NIOSH Pocket Guide to Chemical Hazards; 15 minutes from a safety data sheet": (
        _FIRST_AID
    ),
    "NIOSH Pocket Guide to Chemical Hazards": _FIRST_AID,
    "29 CFR 1910.22(a)(2)": _PRACTICE,
    "1910.106(e)(9)(iii); statement of a fire-protection body": (
        "statement of a fire-protection body"
    ),
    "29 CFR 1910.1200(g)": "safety data sheet, section 4",
    "own rule; 10 ft as in the 2018 International Fire Code Table 5703.1.1; air of a "
    "heat gun passes the 399 °C at which the vapor lights by itself": (
        "own rule; air of a heat gun passes the 399 °C at which the vapor lights by "
        "itself"
    ),
}
"""What a line names instead, by what it names under the federal example."""


def named_openly(
    lines: Iterable[SafetyLine], *, is_example: bool
) -> tuple[SafetyLine, ...]:
    """The lines, each with the source that fits the rules gone by."""
    if is_example:
        return tuple(lines)
    return tuple(
        replace(line, source=OPEN.get(line.source, line.source)) for line in lines
    )
