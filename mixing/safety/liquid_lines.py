"""The lines on the liquids themselves: class, label, data sheets (pure)."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, replace

from mixing.chemistry.alcohol import mass_fraction
from mixing.safety.flammable import (
    Ground,
    LiquidClass,
    flammable_category,
    liquid_class,
)
from mixing.safety.labels import (
    IN_FORCE,
    OPEN_STANDARD,
    Ingredient,
    LabelElements,
    hazards_asked,
    label_elements,
    mixture_hazards,
    solution_ingredients,
)
from mixing.safety.request import PrepUse, SafetyRequest, SolutionUse
from mixing.safety.rules import CATEGORY_4, SafetyRules
from mixing.safety.states import PAGE_FLASH, SafetyLine, State
from shopapp.figures import Figure, given
from shopapp.say import Say, say

_LABEL_SOURCE = "29 CFR 1910.1200(f)(6)(i); CLP Annex I code sets"
_DATA_SHEET = "safety data sheet of the product"
_GIVEN_CLASS = (
    "{name}: {vv} ({ww}), flammable category {category}, flash point {flash}."
)
_DEFAULT_CLASS = (
    "{name}: {vv} ({ww}), flammable category {category}; flash point about {flash} "
    "({low} to {high}), an estimate."
)
_DOUBTED_CLASS = (
    "{name}: {vv} ({ww}), taken as flammable category {category}; the flash point "
    "estimate of {flash} ({low} to {high}) alone could give another: enter a measured "
    "value."
)


@dataclass(frozen=True, kw_only=True)
class BottleLabel:
    """What a bottle of one solution of the job must carry, and its strengths."""

    name: str
    vv_pct: Figure
    ww_pct: Figure
    elements: LabelElements


def class_needs(solution: SolutionUse, rules: SafetyRules) -> tuple[str, ...]:
    """What is missing to say how readily a solution burns."""
    if solution.vv_pct is None:
        return (f"solution.{solution.name}.strength",)
    return rules.lacking_to_class(solution.flash_point_c)


def class_of(solution: SolutionUse, rules: SafetyRules) -> LiquidClass | None:
    """Class of a solution, or None while its strength is not known."""
    if solution.vv_pct is None or class_needs(solution, rules):
        return None
    return liquid_class(
        vv_pct=solution.vv_pct,
        flash_point_c=solution.flash_point_c,
        boiling_point_c=solution.boiling_point_c,
        ground=solution.ground,
        basis=solution.flash_basis,
        category_4_to_c=rules.limit(CATEGORY_4).value,
    )


def bottle_label(solution: SolutionUse, rules: SafetyRules) -> BottleLabel | None:
    """Label of a solution, or None while strength or soap class is not known."""
    found = class_of(solution, rules)
    lacks_soap = solution.soap_hazards is None and solution.soap_mass_pct > 0
    if found is None or solution.vv_pct is None or lacks_soap:
        return None
    if label_needs(solution, rules):
        return None
    hazards = mixture_hazards(
        ingredients=_ingredients_of(solution),
        flammable_category=found.category,
        cutoffs=rules.cutoffs,
    )
    return BottleLabel(
        name=solution.name,
        vv_pct=given(solution.vv_pct, "vv_pct", "mixing sheet"),
        ww_pct=_ww_figure(solution.vv_pct),
        elements=label_elements(
            hazards=hazards, source=IN_FORCE if rules.is_example else OPEN_STANDARD
        ),
    )


def label_needs(solution: SolutionUse, rules: SafetyRules) -> tuple[str, ...]:
    """The cut-offs that nobody entered and that this solution's label hangs on."""
    asked = hazards_asked(_ingredients_of(solution))
    return rules.lacking(*(f"label:{hazard}" for hazard in asked))


def _ingredients_of(solution: SolutionUse) -> tuple[Ingredient, ...]:
    return solution_ingredients(
        vv_pct=solution.vv_pct or 0.0,
        soap_mass_pct=solution.soap_mass_pct,
        soap_hazards=solution.soap_hazards or (),
    )


def liquid_lines(
    request: SafetyRequest, missing: Collection[str]
) -> tuple[SafetyLine, ...]:
    """Class and label of each solution, class of each prep chemical."""
    lines = []
    for solution in request.solutions:
        lines.append(_class_line(solution, request.rules))
        lines.append(_label_line(solution, missing, request.rules))
    lines += [_prep_line(prep) for prep in request.prep or ()]
    return (*lines, *_sheet_lines(request))


def _sheet_lines(request: SafetyRequest) -> tuple[SafetyLine, ...]:
    """One line on the data sheets that everything above rests on."""
    if request.sheets == ():
        return ()
    lacking = tuple(
        f"sheet.{sheet.product}"
        for sheet in request.sheets or ()
        if sheet.dated is None or not sheet.has_file
    )
    old = ", ".join(sheet.product for sheet in request.sheets or () if sheet.is_old)
    if request.sheets is None or lacking:
        state, said = State.NOT_ASSESSED, say("Data sheets: not all are on hand.")
    elif old:
        state = State.WATCH
        said = say("Data sheets on hand; ask for a newer one of {old}.", old=old)
    else:
        state, said = State.OK, say("Data sheets of this job's products on hand.")
    return (
        SafetyLine(
            key="sheets",
            section="liquid",
            state=state,
            sentence=said,
            source="29 CFR 1910.1200(g); how old is too old: shop setting",
            missing=("sheets",) if request.sheets is None else lacking,
        ),
    )


def _ww_figure(vv_pct: float) -> Figure:
    return Figure(
        value=100 * mass_fraction(vv_pct=vv_pct),
        unit="ww_pct",
        made_by="mixing.chemistry.alcohol.mass_fraction",
        inputs=(("vv_pct", vv_pct),),
    )


def _class_line(solution: SolutionUse, rules: SafetyRules) -> SafetyLine:
    name, found = solution.name, class_of(solution, rules)
    key = f"class:{name}"
    if found is None or solution.vv_pct is None:
        return SafetyLine(
            key=key,
            section="liquid",
            state=State.NOT_ASSESSED,
            sentence=say("{name}: not assessed, treat as highly flammable.", name=name),
            source="29 CFR 1910.106(a)(19)",
            missing=class_needs(solution, rules),
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
        rules=rules.named,
        better_on=PAGE_FLASH if solution.vv_pct else "",
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
        low=_edge(found.flash, found.flash.low),
        high=_edge(found.flash, found.flash.high),
    )
    return (State.WATCH if doubt else State.OK), said


def _edge(flash: Figure, edge: float | None) -> Figure:
    """One end of the estimate's spread."""
    return replace(flash, value=flash.value if edge is None else edge)


def _is_in_doubt(found: LiquidClass) -> bool:
    """Whether any part of the estimate's spread lies in another category."""
    flash = found.flash
    if found.ground is not Ground.STRENGTH or flash is None:
        return False
    return any(
        flammable_category(flash_point_c=edge, boiling_point_c=80.0) != found.category
        for edge in (flash.low, flash.value, flash.high)
    )


def _label_line(
    solution: SolutionUse, missing: Collection[str], rules: SafetyRules
) -> SafetyLine:
    name, label = solution.name, bottle_label(solution, rules)
    key = f"label:{name}"
    if label is None:
        needs = (
            *class_needs(solution, rules),
            f"solution.{name}.soap",
            *label_needs(solution, rules),
        )
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
        rules=rules.named if elements.h_codes else "",
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
