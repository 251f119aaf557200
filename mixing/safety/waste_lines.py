"""The lines on leftovers, the drain and the local code (pure)."""

from __future__ import annotations

from collections.abc import Collection

from mixing.safety.request import SafetyRequest, SolutionUse
from mixing.safety.rules import (
    DRAIN_FLASH,
    WASTE_ALCOHOL,
    WASTE_FLASH,
    WASTE_WATER,
    SafetyRules,
)
from mixing.safety.states import SafetyLine, State
from mixing.safety.waste import (
    FEDERAL_WASTE,
    WasteLimits,
    drain_decision,
    waste_decision,
)
from shopapp.figures import given
from shopapp.say import Say, say

_WASTE = (WASTE_FLASH, WASTE_ALCOHOL, WASTE_WATER)
ANY_FLASH_C = 600.0
"""Stands for "whatever it flashes at" where a set has no such limit."""


def waste_lines(request: SafetyRequest) -> tuple[SafetyLine, ...]:
    """Leftovers of each solution, and the drain."""
    rules = request.rules
    lines = [_waste_line(solution, rules) for solution in request.solutions]
    if request.solutions:
        lines.append(_drain_line(request))
    return tuple(lines)


def local_lines(
    request: SafetyRequest, missing: Collection[str]
) -> tuple[SafetyLine, ...]:
    """Fire code and rinse water, as the shop entered them."""
    local = request.authorities
    code = say(
        "Fire code here: {code}. Ask: {who}. It governs over the limits above.",
        code=local.code or "",
        who=local.fire_official or "",
    )
    rinse = say(
        "Rinse water: {answer} ({who}).",
        answer=local.rinse_water or "",
        who=local.sewer or "",
    )
    no_code = say("Local fire code: not assessed; assume that it applies.")
    no_rinse = say("Rinse water: not assessed; collect it.")
    plan = (
        ("fire_code", ("local.code", "local.fire_official"), code, no_code),
        ("rinse_water", ("local.sewer", "local.rinse_water"), rinse, no_rinse),
    )
    return tuple(
        _local_line(key, tuple(n for n in needs if n in missing), known, unknown)
        for key, needs, known, unknown in plan
    )


def _local_line(
    key: str, lacking: tuple[str, ...], known: Say, unknown: Say
) -> SafetyLine:
    return SafetyLine(
        key=key,
        section="local",
        state=State.NOT_ASSESSED if lacking else State.OK,
        sentence=unknown if lacking else known,
        basis=say("Entered by the shop."),
        source="authority named by the shop",
        missing=lacking,
    )


def _waste_limits(rules: SafetyRules) -> WasteLimits | None:
    """What the set says of waste; None where it lacks a limit."""
    if rules.lacking(*_WASTE):
        return None
    flash, alcohol, water = (rules.limit(key) for key in _WASTE)
    return WasteLimits(
        # No flash limit in these rules: every liquid with alcohol counts.
        flash_below_c=flash.value if flash.value is not None else ANY_FLASH_C,
        alcohol_below_vv_pct=alcohol.value,
        water_from_mass_pct=water.value or 0.0,
        source=flash.origin,
    )


def _waste_line(solution: SolutionUse, rules: SafetyRules) -> SafetyLine:
    key, limits = f"waste:{solution.name}", _waste_limits(rules)
    burns = solution.vv_pct != 0 or solution.flash_point_c is not None
    if solution.vv_pct is None or (burns and limits is None):
        unknown = (f"solution.{solution.name}.strength",)
        return SafetyLine(
            key=key,
            section="waste",
            state=State.NOT_ASSESSED,
            sentence=say("Leftovers of {name}: not assessed.", name=solution.name),
            source="waste limits of the rules gone by",
            missing=(
                *(unknown if solution.vv_pct is None else ()),
                *(rules.lacking(*_WASTE) if burns else ()),
            ),
            rules=rules.named,
        )
    found = waste_decision(
        vv_pct=solution.vv_pct,
        flash_point_c=solution.flash_point_c,
        name=solution.name,
        limits=limits or FEDERAL_WASTE,
    )
    strength = given(solution.vv_pct, "vv_pct", "mixing sheet")
    basis = say("Real strength {vv}.", vv=strength)
    if solution.flash_point_c is not None:
        flash = given(solution.flash_point_c, "degc", solution.ground.value)
        basis = say(
            "Real strength {vv}, flash point {flash}.", vv=strength, flash=flash
        )
    return SafetyLine(
        key=key,
        section="waste",
        state=State.WATCH if found.is_ignitable else State.OK,
        sentence=found.sentence,
        figures=(strength,),
        basis=basis,
        source=found.source if limits else "no alcohol in it",
        rules=rules.named,
    )


def _drain_line(request: SafetyRequest) -> SafetyLine:
    """One line for all; an unknown strength is treated as barred."""
    limit = request.rules.limit(DRAIN_FLASH)
    if limit.missing:
        return SafetyLine(
            key="drain",
            section="waste",
            state=State.NOT_ASSESSED,
            sentence=say("Drain: not assessed; collect leftovers, pour none away."),
            source="sewer limit of the rules gone by",
            missing=limit.missing,
            rules=request.rules.named,
        )
    found = [
        drain_decision(
            vv_pct=100.0 if s.vv_pct is None else s.vv_pct,
            flash_point_c=s.flash_point_c,
            flash_below_c=limit.value,
            source=limit.origin,
        )
        for s in request.solutions
    ]
    strictest = max(found, key=lambda decision: decision.is_barred)
    return SafetyLine(
        key="drain",
        section="waste",
        state=None,
        sentence=strictest.sentence,
        source=strictest.source,
        rules=request.rules.named,
    )
