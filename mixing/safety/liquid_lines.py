"""The lines on the liquids themselves: class, label, waste, local code (pure)."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

from mixing.chemistry.alcohol import mass_fraction
from mixing.safety.flammable import (
    Ground,
    LiquidClass,
    flammable_category,
    liquid_class,
)
from mixing.safety.labels import (
    LabelElements,
    label_elements,
    mixture_hazards,
    solution_ingredients,
)
from mixing.safety.request import PrepUse, SafetyRequest, SolutionUse
from mixing.safety.states import SafetyLine, State
from mixing.safety.waste import drain_decision, waste_decision
from shopapp.figures import Figure, given
from shopapp.say import Say, say

_LABEL_SOURCE = "29 CFR 1910.1200(f)(6)(i); CLP Annex I code sets"
_DATA_SHEET = "safety data sheet of the product"
_GIVEN_CLASS = (
    "{name}: {vv} ({ww}), flammable category {category}, flash point {flash}."
)
_DEFAULT_CLASS = (
    "{name}: {vv} ({ww}), flammable category {category}; flash point about {flash}, an "
    "estimate."
)
_DOUBTED_CLASS = (
    "{name}: {vv} ({ww}), taken as flammable category {category}; the flash point "
    "estimate of {flash} alone could give another: enter a measured value."
)


@dataclass(frozen=True, kw_only=True)
class BottleLabel:
    """What a bottle of one solution of the job must carry, and its strengths."""

    name: str
    vv_pct: Figure
    ww_pct: Figure
    elements: LabelElements


def class_of(solution: SolutionUse) -> LiquidClass | None:
    """Class of a solution, or None while its strength is not known."""
    if solution.vv_pct is None:
        return None
    return liquid_class(
        vv_pct=solution.vv_pct,
        flash_point_c=solution.flash_point_c,
        boiling_point_c=solution.boiling_point_c,
        ground=solution.ground,
    )


def bottle_label(solution: SolutionUse) -> BottleLabel | None:
    """Label of a solution, or None while strength or soap class is not known."""
    found = class_of(solution)
    lacks_soap = solution.soap_hazards is None and solution.soap_mass_pct > 0
    if found is None or solution.vv_pct is None or lacks_soap:
        return None
    ingredients = solution_ingredients(
        vv_pct=solution.vv_pct,
        soap_mass_pct=solution.soap_mass_pct,
        soap_hazards=solution.soap_hazards or (),
    )
    hazards = mixture_hazards(
        ingredients=ingredients, flammable_category=found.category
    )
    return BottleLabel(
        name=solution.name,
        vv_pct=given(solution.vv_pct, "vv_pct", "mixing sheet"),
        ww_pct=_ww_figure(solution.vv_pct),
        elements=label_elements(hazards=hazards),
    )


def liquid_lines(
    request: SafetyRequest, missing: Collection[str]
) -> tuple[SafetyLine, ...]:
    """Class and label of each solution, class of each prep chemical."""
    lines = []
    for solution in request.solutions:
        lines.append(_class_line(solution))
        lines.append(_label_line(solution, missing))
    return (*lines, *(_prep_line(prep) for prep in request.prep or ()))


def waste_lines(request: SafetyRequest) -> tuple[SafetyLine, ...]:
    """Leftovers of each solution, and the drain."""
    lines = [_waste_line(solution) for solution in request.solutions]
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


def _ww_figure(vv_pct: float) -> Figure:
    return Figure(
        value=100 * mass_fraction(vv_pct=vv_pct),
        unit="ww_pct",
        made_by="mixing.chemistry.alcohol.mass_fraction",
        inputs=(("vv_pct", vv_pct),),
    )


def _class_line(solution: SolutionUse) -> SafetyLine:
    name, found = solution.name, class_of(solution)
    key = f"class:{name}"
    if found is None or solution.vv_pct is None:
        return SafetyLine(
            key=key,
            section="liquid",
            state=State.NOT_ASSESSED,
            sentence=say("{name}: not assessed, treat as highly flammable.", name=name),
            source="29 CFR 1910.106(a)(19)",
            missing=(f"solution.{name}.strength",),
        )
    strength = given(solution.vv_pct, "vv_pct", "mixing sheet")
    mass = _ww_figure(solution.vv_pct)
    state, said = _class_finding(name, found, strength, mass)
    figures = (strength, mass) + ((found.flash,) if found.flash else ())
    return SafetyLine(
        key=key,
        section="liquid",
        state=state,
        sentence=said,
        figures=figures,
        basis=found.basis,
        source=found.source,
    )


def _class_finding(
    name: str, found: LiquidClass, strength: Figure, mass: Figure
) -> tuple[State, Say]:
    if found.category is None or found.flash is None:
        burns = found.ground is not Ground.STRENGTH or strength.value == 0
        said = say("{name}: {vv}, not classified as flammable.", name=name, vv=strength)
        return (State.OK if burns else State.WATCH), said
    doubt = _is_in_doubt(found)
    if found.ground is not Ground.STRENGTH:
        pattern = _GIVEN_CLASS
    else:
        pattern = _DOUBTED_CLASS if doubt else _DEFAULT_CLASS
    said = say(
        pattern,
        name=name,
        vv=strength,
        ww=mass,
        category=found.category,
        flash=found.flash,
    )
    return (State.WATCH if doubt else State.OK), said


def _is_in_doubt(found: LiquidClass) -> bool:
    """Whether any part of the estimate's spread lies in another category."""
    flash = found.flash
    if found.ground is not Ground.STRENGTH or flash is None:
        return False
    return any(
        flammable_category(flash_point_c=edge, boiling_point_c=80.0) != found.category
        for edge in (flash.low, flash.value, flash.high)
    )


def _label_line(solution: SolutionUse, missing: Collection[str]) -> SafetyLine:
    name, label = solution.name, bottle_label(solution)
    key = f"label:{name}"
    if label is None:
        needs = (f"solution.{name}.strength", f"solution.{name}.soap")
        return SafetyLine(
            key=key,
            section="liquid",
            state=State.NOT_ASSESSED,
            sentence=say("Label of {name}: not assessed.", name=name),
            source=_LABEL_SOURCE,
            missing=tuple(need for need in needs if need in missing),
        )
    elements = label.elements
    if elements.signal is None and not elements.h_codes:
        said = say(
            "Label of {name}: no hazard elements; name and data sheet all the same.",
            name=name,
        )
    else:
        said = say(
            "Label of {name}: {signal}, {pictograms}, {codes}.",
            name=name,
            signal=elements.signal or "",
            pictograms=" ".join(elements.pictograms) or "no pictogram",
            codes=" ".join(elements.h_codes),
        )
    return SafetyLine(
        key=key,
        section="liquid",
        state=State.OK,
        sentence=said,
        figures=(label.ww_pct,),
        basis=say("Cut-offs by mass; soap class from its data sheet."),
        source=_LABEL_SOURCE,
    )


def _prep_line(prep: PrepUse) -> SafetyLine:
    key = f"class:{prep.name}"
    if prep.category is None:
        return SafetyLine(
            key=key,
            section="liquid",
            state=State.NOT_ASSESSED,
            sentence=say(
                "{name}: not assessed, treat as highly flammable.", name=prep.name
            ),
            source=_DATA_SHEET,
            missing=(f"prep.{prep.name}.category",),
        )
    pattern = (
        "{name}: flammable category {category}."
        if prep.category
        else "{name}: not classified as flammable."
    )
    return SafetyLine(
        key=key,
        section="liquid",
        state=State.OK,
        sentence=say(pattern, name=prep.name, category=prep.category),
        basis=say("Category from the data sheet."),
        source=_DATA_SHEET,
    )


def _waste_line(solution: SolutionUse) -> SafetyLine:
    key = f"waste:{solution.name}"
    if solution.vv_pct is None:
        return SafetyLine(
            key=key,
            section="waste",
            state=State.NOT_ASSESSED,
            sentence=say("Leftovers of {name}: not assessed.", name=solution.name),
            source="40 CFR 261.21(a)(1)",
            missing=(f"solution.{solution.name}.strength",),
        )
    found = waste_decision(
        vv_pct=solution.vv_pct,
        flash_point_c=solution.flash_point_c,
        name=solution.name,
    )
    strength = given(solution.vv_pct, "vv_pct", "mixing sheet")
    return SafetyLine(
        key=key,
        section="waste",
        state=State.WATCH if found.is_ignitable else State.OK,
        sentence=found.sentence,
        figures=(strength,),
        basis=say("Real strength {vv}.", vv=strength),
        source=found.source,
    )


def _drain_line(request: SafetyRequest) -> SafetyLine:
    """One line for all; an unknown strength is treated as barred."""
    found = [
        drain_decision(
            vv_pct=100.0 if s.vv_pct is None else s.vv_pct,
            flash_point_c=s.flash_point_c,
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
    )
