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
    Hazard,
    Ingredient,
    LabelElements,
    hazards_asked,
    label_elements,
    mixture_hazards,
    solution_ingredients,
)
from mixing.safety.product_lines import (
    prep_line,
    product_class,
    product_class_line,
    product_hazards,
    product_label,
)
from mixing.safety.request import SafetyRequest, SolutionUse
from mixing.safety.rules import CATEGORY_4, SafetyRules
from mixing.safety.states import PAGE_FLASH, SafetyLine, State
from shopapp.figures import Figure, computed, given, per_cent
from shopapp.say import Say, say

_LABEL_SOURCE = "29 CFR 1910.1200(f)(6)(i); CLP Annex I code sets"
_DATA_SHEET = "safety data sheets of its parts"
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

_STRADDLES_CLASS = (
    "{name}: {vv} ({ww}), but up to {most} as it is poured: taken as flammable "
    "category {category}."
)


@dataclass(frozen=True, kw_only=True)
class BottleLabel:
    """What a bottle of one solution of the job must carry, and its strengths."""

    name: str
    vv_pct: Figure
    ww_pct: Figure
    elements: LabelElements
    left_out: tuple[str, ...] = ()


def class_needs(solution: SolutionUse, rules: SafetyRules) -> tuple[str, ...]:
    """What is missing to say how readily a solution burns."""
    if solution.product is not None:
        unread = solution.product.category is None
        return (f"solution.{solution.name}.class",) if unread else ()
    if solution.vv_pct is None:
        return (f"solution.{solution.name}.strength",)
    return rules.lacking_to_class(solution.flash_point_c)


def class_of(solution: SolutionUse, rules: SafetyRules) -> LiquidClass | None:
    """Class of a solution by the strongest that it may be, or None: not known."""
    if class_needs(solution, rules):
        return None
    if solution.product is not None:
        return product_class(solution.product)
    return _class_at(solution, solution.strongest_pct, rules)


def _class_at(
    solution: SolutionUse, vv_pct: float | None, rules: SafetyRules
) -> LiquidClass | None:
    if vv_pct is None:
        return None
    return liquid_class(
        vv_pct=vv_pct,
        flash_point_c=solution.flash_point_c,
        boiling_point_c=solution.boiling_point_c,
        ground=solution.ground,
        basis=solution.flash_basis,
        category_4_to_c=rules.limit(CATEGORY_4).value,
    )


def bottle_label(solution: SolutionUse, rules: SafetyRules) -> BottleLabel | None:
    """Label of a solution, or None while strength or soap class is not known."""
    strongest = solution.strongest_pct
    hazards = _hazards_at(solution, strongest, rules)
    if hazards is None or strongest is None:
        return None
    source = IN_FORCE if rules.is_example else OPEN_STANDARD
    elements = label_elements(hazards=hazards, source=source)
    if solution.product is not None:
        elements = product_label(solution.product, source=source) or elements
    return BottleLabel(
        name=solution.name,
        vv_pct=_strength_of(solution),
        ww_pct=_ww_figure(strongest),
        elements=elements,
        left_out=_left_out(solution),
    )


def _hazards_at(
    solution: SolutionUse, vv_pct: float | None, rules: SafetyRules
) -> tuple[Hazard, ...] | None:
    """Hazards of a solution at one strength of its range, or None: not known."""
    if solution.product is not None:
        return product_hazards(solution.product)
    lacks_soap = solution.soap_hazards is None and solution.soap_mass_pct > 0
    found = None if class_needs(solution, rules) else _class_at(solution, vv_pct, rules)
    if found is None or lacks_soap or label_needs(solution, rules):
        return None
    return mixture_hazards(
        ingredients=_ingredients_of(solution, vv_pct),
        flammable_category=found.category,
        cutoffs=rules.cutoffs,
    )


def _strength_of(solution: SolutionUse) -> Figure:
    """As it is, with the range that limits are held against."""
    figure = given(solution.vv_pct or 0.0, "vv_pct", "mixing sheet")
    if solution.vv_high_pct is None:
        return figure
    return replace(figure, low=solution.weakest_pct, high=solution.strongest_pct)


def label_needs(solution: SolutionUse, rules: SafetyRules) -> tuple[str, ...]:
    """The cut-offs that nobody entered and that this solution's label hangs on."""
    if solution.product is not None:
        return ()
    asked = hazards_asked(_ingredients_of(solution, solution.strongest_pct))
    return rules.lacking(*(f"label:{hazard}" for hazard in asked))


def _ingredients_of(
    solution: SolutionUse, vv_pct: float | None
) -> tuple[Ingredient, ...]:
    return solution_ingredients(
        vv_pct=vv_pct or 0.0,
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
        lines += _beside_label(solution, request.rules)
    lines += [prep_line(prep) for prep in request.prep or ()]
    return (*lines, *_sheet_lines(request))


def _sheet_lines(request: SafetyRequest) -> tuple[SafetyLine, ...]:
    """One line on the data sheets that everything above rests on."""
    if request.sheets == ():
        return ()
    unfiled = [
        sheet
        for sheet in request.sheets or ()
        if sheet.dated is None or not sheet.has_file
    ]
    lacking = tuple(f"sheet.{sheet.product}" for sheet in unfiled)
    unread = request.sheets is None or any(not sheet.is_read for sheet in unfiled)
    old = ", ".join(sheet.product for sheet in request.sheets or () if sheet.is_old)
    state: State | None
    if unread:
        state, said = State.NOT_ASSESSED, say("Data sheets: not all are on hand.")
    elif lacking:
        # The values are there; the file is asked for and holds up no section.
        state, said = None, say("Data sheets: the values are entered, file them too.")
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
    return per_cent(computed(mass_fraction, "", vv_pct=vv_pct), unit="ww_pct")


def _class_line(solution: SolutionUse, rules: SafetyRules) -> SafetyLine:
    name, found = solution.name, class_of(solution, rules)
    key = f"class:{name}"
    if solution.product is not None:
        return product_class_line(name, solution.product)
    if found is None or solution.vv_pct is None:
        return SafetyLine(
            key=key,
            section="liquid",
            state=State.NOT_ASSESSED,
            sentence=say("{name}: not assessed, treat as highly flammable.", name=name),
            source="29 CFR 1910.106(a)(19)",
            missing=class_needs(solution, rules),
        )
    strength = _strength_of(solution)
    mass = _ww_figure(solution.vv_pct)
    weakest = _class_at(solution, solution.weakest_pct, rules)
    straddles = weakest is not None and weakest.category != found.category
    state, said = _class_finding(name, found, strength, mass, straddles=straddles)
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
    name: str,
    found: LiquidClass,
    strength: Figure,
    mass: Figure,
    *,
    straddles: bool,
) -> tuple[State, Say]:
    if found.category is None or found.flash is None:
        burns = found.ground is not Ground.STRENGTH or strength.value == 0
        said = say("{name}: {vv}, not classified as flammable.", name=name, vv=strength)
        return (State.OK if burns else State.WATCH), said
    doubt = straddles or _is_in_doubt(found)
    if straddles:
        pattern = _STRADDLES_CLASS
    elif found.ground is not Ground.STRENGTH:
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
        most=_edge(strength, strength.high),
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
            f"solution.{name}.hazards",
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
    return SafetyLine(
        key=key,
        section="liquid",
        state=State.OK,
        sentence=_label_sentence(name, label),
        figures=(label.ww_pct,),
        basis=say("From its own data sheet.")
        if solution.product
        else say("Cut-offs by mass; soap class from its data sheet."),
        source=_LABEL_SOURCE,
        rules=rules.named if label.elements.h_codes else "",
    )


def _label_sentence(name: str, label: BottleLabel) -> Say:
    elements = label.elements
    if elements.signal is None and not elements.h_codes:
        if label.left_out:
            return say("Label of {name}: see its data sheet.", name=name)
        return say(
            "Label of {name}: no hazard elements; name and data sheet all the same.",
            name=name,
        )
    return say(
        "Label of {name}: {signal}, {pictograms}, {codes}.",
        name=name,
        signal=elements.signal or "",
        pictograms=" ".join(elements.pictograms) or "no pictogram",
        codes=" ".join(elements.h_codes),
    )


def _beside_label(solution: SolutionUse, rules: SafetyRules) -> list[SafetyLine]:
    """Codes that no label here is made of, and a range that passes a cut-off."""
    name, label = solution.name, bottle_label(solution, rules)
    lines = []
    if left_out := _left_out(solution):
        lines.append(
            SafetyLine(
                key=f"left_out:{name}",
                section="liquid",
                state=State.WATCH,
                sentence=say(
                    "{name}: {codes} of its data sheets, not worked into the label; "
                    "read them there.",
                    name=name,
                    codes=" ".join(left_out),
                ),
                source=_DATA_SHEET,
            )
        )
    weakest = _hazards_at(solution, solution.weakest_pct, rules)
    if label is not None and weakest not in (None, label.elements.hazards):
        lines.append(
            SafetyLine(
                key=f"label_range:{name}",
                section="liquid",
                state=State.WATCH,
                sentence=say(
                    "{name}: its label is that of {most}, the strongest it may be.",
                    name=name,
                    most=given(solution.strongest_pct or 0.0, "vv_pct", "range"),
                ),
                basis=say("The cut-off lies inside the range of the pours."),
                source=_LABEL_SOURCE,
            )
        )
    return lines


def _left_out(solution: SolutionUse) -> tuple[str, ...]:
    return solution.product.left_out if solution.product else solution.left_out
