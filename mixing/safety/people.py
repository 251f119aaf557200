"""What protects the people at the car: short lines in our own words (pure).

General good practice and first aid; each list ends by deferring to the safety data
sheet. Nothing here is assessed, so these lines carry no state.
"""

from __future__ import annotations

from mixing.safety.states import SafetyLine
from shopapp.say import Say, say

GENERAL = "general good practice, no published source"
NIOSH = "NIOSH Pocket Guide to Chemical Hazards"

_ALCOHOL = (
    (
        "eyes",
        say("Eyes: glasses when spraying, goggles when pouring stock."),
        NIOSH,
    ),
    (
        "skin",
        say("Skin: gloves rated for isopropyl alcohol; wash, dry, cream."),
        NIOSH,
    ),
)
_ALCOHOL_AID = (
    (
        "eyes",
        say(
            "In the eye: rinse with clean water at once, 15 minutes, lenses out; get "
            "care if it still hurts."
        ),
        f"{NIOSH}; 15 minutes from a safety data sheet",
    ),
    (
        "skin",
        say("On the skin: take off soaked clothing, it can burn; rinse with water."),
        NIOSH,
    ),
    (
        "breathing",
        say(
            "Headache, dizziness or sore eyes: stop, fresh air, more exhaust. Not "
            "breathing normally: emergency number."
        ),
        NIOSH,
    ),
    (
        "swallowed",
        say("Swallowed: do not make the person vomit; call poison control."),
        NIOSH,
    ),
    (
        "fire",
        say(
            "Clothing on fire: stop, drop, roll, or drench. Small fire: alcohol-"
            "resistant foam, dry chemical or CO2; larger than a bin: leave and call."
        ),
        "extinguishing media of isopropyl alcohol data sheets",
    ),
)
_WORK = (
    (
        "blades",
        say(
            "Blades: guarded, cut away from body and free hand; snapped tips into the "
            "sharps box, never in pockets or trash."
        ),
        GENERAL,
    ),
    (
        "floor",
        say("Wet floor: drains clear, mats, mopped before hot tools or ladders."),
        "29 CFR 1910.22(a)(2)",
    ),
    (
        "posture",
        say("Change task about every 30 to 60 minutes; two people for heavy rolls."),
        GENERAL,
    ),
    (
        "electric",
        say("Ground-fault protected outlets in the bay; cords off the wet floor."),
        GENERAL,
    ),
)
_HOT = (
    (
        "hot",
        say(
            "Nozzle and panel stay hot. Park the tool on its stand, never on film, "
            "seat or near a bottle."
        ),
        GENERAL,
    ),
)
_HOT_AID = (("burns", say("Burn: cool under running water, no ice."), GENERAL),)
_LAMPS = (
    (
        "lamps",
        say("Lamps: only after the wait, at the maker's distance, never unattended."),
        GENERAL,
    ),
)
_LAST_AID = (
    "sds",
    say("Follow section 4 of the product's safety data sheet."),
    "29 CFR 1910.1200(g)",
)
_ALCOHOL_HEAT = (
    (
        "hot_tools",
        say(
            "Before hot tools after alcohol: bottles capped and 3 m (10 ft) away, rags "
            "in the can, exhaust on, nothing pooled at the edge, wait over."
        ),
        "own rule; 10 ft as in the 2018 International Fire Code Table 5703.1.1; air "
        "of a heat gun passes the 399 °C at which the vapor lights by itself",
    ),
    (
        "rags",
        say(
            "Alcohol rags: closed metal can, emptied daily. Oil, wax or coating rags "
            "heat by themselves: keep them apart."
        ),
        "1910.106(e)(9)(iii); statement of a fire-protection body",
    ),
    (
        "static",
        say("Liners charge when peeled: wet them and peel away from open alcohol."),
        GENERAL,
    ),
)
_NO_ALCOHOL_HEAT = (
    (
        "hot_tools",
        say("Film with only soap and water under it may be warmed."),
        "common practice, no published source",
    ),
)

CAVEAT = say(
    "Planning guidance from the numbers entered above, with evenly mixed air; not a "
    "measurement. It does not replace the safety data sheet, the fire, building, waste "
    "and sewer rules in force, or a qualified safety or fire-protection professional: "
    "follow the stricter. If people feel unwell or vapor is strong: stop, ventilate "
    "and leave."
)


def people_lines(*, has_solvent: bool, has_hot_tools: bool) -> tuple[SafetyLine, ...]:
    """Protective equipment and first-aid lines that fit the job.

    >>> [line.key for line in people_lines(has_solvent=False, has_hot_tools=False)]
    ['people:blades', 'people:floor', 'people:posture', 'people:electric', 'aid:sds']
    """
    protect = (
        (_ALCOHOL if has_solvent else ())
        + _WORK
        + (_HOT + _LAMPS if has_hot_tools else ())
    )
    aid = (_ALCOHOL_AID if has_solvent else ()) + (_HOT_AID if has_hot_tools else ())
    return tuple(_line("people", *each) for each in protect) + tuple(
        _line("aid", *each) for each in (*aid, _LAST_AID)
    )


def heat_lines(*, has_solvent: bool) -> tuple[SafetyLine, ...]:
    """What to do before a hot tool is switched on.

    >>> len(heat_lines(has_solvent=False))
    1
    """
    chosen = _ALCOHOL_HEAT if has_solvent else _NO_ALCOHOL_HEAT
    return tuple(_line("heat", *each) for each in chosen)


def _line(section: str, key: str, sentence: Say, source: str) -> SafetyLine:
    return SafetyLine(
        key=f"{section}:{key}",
        section=section,
        state=None,
        sentence=sentence,
        source=source,
    )
