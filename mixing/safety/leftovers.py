"""Where what is left in a vessel goes: a can by name, never a drain by habit (pure)."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from mixing.safety.rules import (
    WASTE_ALCOHOL,
    WASTE_FLASH,
    WASTE_WATER,
    SafetyRules,
)
from mixing.safety.waste import WasteLimits, waste_decision
from shopapp.say import Say, say

IGNITABLE = say("Into the can for ignitable waste, never down a drain.")
ALCOHOL = say("Into the can for alcohol mixes, never down a drain.")
GEL = say("Into the waste can as its data sheet says (section 13), never down a drain.")
COLLECT = say("Into the can for rinse water, until the sewer authority has answered.")


@dataclass(frozen=True, kw_only=True)
class Leftover:
    """What may be in a vessel.

    vv_pct  the strongest it may be, % v/v; None: nobody knows
    is_gel  used as it comes: its own data sheet decides
    """

    vv_pct: float | None
    is_gel: bool = False


def leftover_goes(
    held: Sequence[Leftover], *, rules: SafetyRules, rinse_water: str
) -> Say:
    """Where the rest of a vessel goes, by the gravest of what is in it.

        ignitable waste;  else any alcohol;  else the gel's own sheet;  else what the
        sewer authority answered

    held         () or an unknown strength counts as ignitable
    rules        the set the shop goes by; a limit it lacks is taken as passed
    rinse_water  what the sewer authority answered, "" for no answer yet
    Source:      40 CFR 261.21(a)(1) and 403.5(b)(1), or what the set says; that weak
                 mixes share the can of alcohol mixes is our own
    """
    if not held or any(_is_ignitable(each, rules) for each in held):
        return IGNITABLE
    if any(each.vv_pct for each in held):
        return ALCOHOL
    if any(each.is_gel for each in held):
        return GEL
    if not rinse_water.strip():
        return COLLECT
    return say(
        "Into the can for rinse water, unless the sewer authority allows it. It says: "
        "{answer}.",
        answer=rinse_water.strip().rstrip("."),
    )


def _is_ignitable(held: Leftover, rules: SafetyRules) -> bool:
    if held.vv_pct is None:
        return True
    if held.is_gel or held.vv_pct == 0:
        return False
    if rules.lacking(WASTE_FLASH, WASTE_ALCOHOL, WASTE_WATER):
        return True
    limits = WasteLimits(
        alcohol_below_vv_pct=rules.limit(WASTE_ALCOHOL).value,
        water_from_mass_pct=rules.limit(WASTE_WATER).value or 0.0,
    )
    return waste_decision(vv_pct=held.vv_pct, limits=limits).is_ignitable is not False
