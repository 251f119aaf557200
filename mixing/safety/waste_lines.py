"""The lines on leftovers, the drain and the local code (pure)."""

from __future__ import annotations

from collections.abc import Collection

from mixing.safety.request import PrepUse, SafetyRequest, SolutionUse
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
    product_waste,
    waste_decision,
)
from shopapp.figures import given
from shopapp.say import Say, say

_WASTE = (WASTE_FLASH, WASTE_ALCOHOL, WASTE_WATER)
ANY_FLASH_C = 600.0
"""Stands for "whatever it flashes at" where a set has no such limit."""


def waste_lines(request: SafetyRequest) -> tuple[SafetyLine, ...]:
    """Leftovers of each solution and of what was wiped with, and the drain."""
    rules = request.rules
    lines = [_waste_line(solution, rules) for solution in request.solutions]
    lines += [_prep_waste(prep, rules) for prep in request.prep or ()]
    if request.prep is None:
        lines.append(_unknown_prep(rules))
    if request.solutions or request.prep:
        lines.append(_drain_line(request))
    return tuple(lines)


def _unknown_prep(rules: SafetyRules) -> SafetyLine:
    return SafetyLine(
        key="waste:prep",
        section="waste",
        state=State.NOT_ASSESSED,
        sentence=say("Leftovers of prep chemicals: not assessed."),
        source="waste limits of the rules gone by",
        missing=("order.prep",),
        rules=rules.named,
    )


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
    name, limits = solution.name, _waste_limits(rules)
    product, strongest = solution.product, solution.strongest_pct
    if product is not None:
        need = f"solution.{name}.class"
        return _product_line(
            name, product.category, product.flash_point_c, need=need, rules=rules
        )
    burns = strongest != 0 or solution.flash_point_c is not None
    if strongest is None or (burns and limits is None):
        unknown = (f"solution.{name}.strength",) if strongest is None else ()
        lacks = rules.lacking(*_WASTE) if burns else ()
        return _not_assessed(name, (*unknown, *lacks), rules)
    found = waste_decision(
        vv_pct=strongest,
        vv_low_pct=solution.weakest_pct,
        flash_point_c=solution.flash_point_c,
        name=name,
        limits=limits or FEDERAL_WASTE,
    )
    strength = given(strongest, "vv_pct", "mixing sheet, upper end")
    basis = (
        say("Up to {vv}, the upper end of its range.", vv=strength)
        if strongest
        else say("No alcohol in it.")
    )
    if solution.flash_point_c is not None:
        flash = given(solution.flash_point_c, "degc", solution.ground.value)
        basis = say("Up to {vv}, flash point {flash}.", vv=strength, flash=flash)
    return SafetyLine(
        key=f"waste:{name}",
        section="waste",
        state=State.WATCH if found.is_ignitable else State.OK,
        sentence=found.sentence,
        figures=(strength,),
        basis=basis,
        source=found.source if limits else "no alcohol in it",
        rules=rules.named,
    )


def _prep_waste(prep: PrepUse, rules: SafetyRules) -> SafetyLine:
    """A wipe of alcohol and water by its strength, anything else by its class."""
    limits = _waste_limits(rules)
    need = f"prep.{prep.name}.category"
    if prep.alcohol_pct is None or limits is None:
        is_solvent = prep.alcohol_pct is None and prep.volatile_pct != 0
        return _product_line(
            prep.name,
            prep.category,
            prep.flash_point_c,
            need=need,
            rules=rules,
            may_be_listed=is_solvent,
        )
    strength = given(prep.alcohol_pct, "vv_pct", "data sheet")
    found = waste_decision(
        vv_pct=prep.alcohol_pct,
        flash_point_c=prep.flash_point_c,
        name=prep.name,
        limits=limits,
    )
    return SafetyLine(
        key=f"waste:{prep.name}",
        section="waste",
        state=State.WATCH if found.is_ignitable else State.OK,
        sentence=found.sentence,
        figures=(strength,),
        basis=say("{vv} of its data sheet.", vv=strength),
        source=found.source,
        rules=rules.named,
    )


def _product_line(
    name: str,
    category: int | None,
    flash_point_c: float | None,
    *,
    need: str,
    rules: SafetyRules,
    may_be_listed: bool = False,
) -> SafetyLine:
    flash = rules.limit(WASTE_FLASH)
    if category is None or flash.missing:
        needs = (*((need,) if category is None else ()), *flash.missing)
        return _not_assessed(name, needs, rules)
    limits = WasteLimits(
        flash_below_c=flash.value if flash.value is not None else ANY_FLASH_C,
        source=flash.origin,
    )
    found = product_waste(
        category=category,
        flash_point_c=flash_point_c,
        may_be_listed=may_be_listed,
        name=name,
        limits=limits,
    )
    watch = found.is_ignitable or may_be_listed
    return SafetyLine(
        key=f"waste:{name}",
        section="waste",
        state=State.WATCH if watch else State.OK,
        sentence=found.sentence,
        basis=say("Category of its data sheet."),
        source=found.source,
        rules=rules.named,
    )


def _not_assessed(
    name: str, missing: tuple[str, ...], rules: SafetyRules
) -> SafetyLine:
    return SafetyLine(
        key=f"waste:{name}",
        section="waste",
        state=State.NOT_ASSESSED,
        sentence=say("Leftovers of {name}: not assessed.", name=name),
        source="waste limits of the rules gone by",
        missing=missing,
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
    liquids = [_flashing(each) for each in request.solutions]
    liquids += [_flashing(each) for each in request.prep or ()]
    found = [
        drain_decision(
            vv_pct=vv_pct,
            flash_point_c=flash_c,
            flash_below_c=limit.value,
            source=limit.origin,
        )
        for vv_pct, flash_c in liquids
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


def _flashing(use: SolutionUse | PrepUse) -> tuple[float, float | None]:
    """Strength and flash point that the drain is asked with; unknown burns."""
    if isinstance(use, SolutionUse) and use.product is None:
        strongest = use.strongest_pct
        return (100.0 if strongest is None else strongest), use.flash_point_c
    sheet = use.product if isinstance(use, SolutionUse) else use
    assert sheet is not None
    if isinstance(use, PrepUse) and use.alcohol_pct is not None:
        return use.alcohol_pct, use.flash_point_c
    return (0.0 if sheet.category == 0 else 100.0), sheet.flash_point_c
