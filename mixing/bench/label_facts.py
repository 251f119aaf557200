"""Facts of the bench's papers: the label of a vessel, the label of its fill."""

from __future__ import annotations

import math

import segno

from mixing.bench.hazard_queries import recipe_of_kind, strongest_vv_pct
from mixing.bench.queries import open_fills
from mixing.bench.vessel_label import (
    Filled,
    LabelFacts,
    hazards_of,
    is_bare_size,
    label_facts,
)
from mixing.flash_points.queries import (
    class_of_mix,
    measurements,
    mix_by_recipe,
    mix_of,
)
from mixing.models import Fill, Kind, KindMark, Vessel
from mixing.rule_sets.queries import rules_of
from mixing.safety.flammable import liquid_class
from mixing.safety.flash_measurement import Mix, known_flash
from mixing.safety.labels import (
    IN_FORCE,
    OPEN_STANDARD,
    LabelElements,
    label_elements,
)
from mixing.safety.pictograms import pictogram_svg
from mixing.safety.product_lines import product_label
from mixing.sheet.drawing import shape_svg
from mixing.sheet.queries import newest_versions, solution_of, spec_of
from mixing.shelf.data_sheet_queries import gel_sheet, soap_sheet
from shopapp.models import the_shop
from shopapp.units import shown

SMALL_MM = (57.0, 32.0)

LETTERS = {Kind.SLIP: "S", Kind.TACK: "T", Kind.ALL_IN_ONE: "A", Kind.GEL: "G"}
CONTENTS = {
    Kind.SLIP: "water, baby shampoo",
    Kind.TACK: "water, isopropyl alcohol",
    Kind.ALL_IN_ONE: "water, isopropyl alcohol, baby shampoo",
    Kind.GEL: "gel, ready made",
}

GEL_NOT_READ = "Gel: not assessed, read its data sheet"
SOAP_NOT_READ = "Soap: not assessed, read its data sheet"
CUTOFF_NOT_ENTERED = (
    "Eyes and breathing: NOT ASSESSED, enter the label cut-offs in the safety rules"
)


def kind_label(
    vessel: Vessel, *, width_mm: float = SMALL_MM[0], height_mm: float = SMALL_MM[1]
) -> LabelFacts:
    """The permanent label: what this vessel holds for life.

    Its hazards are those of the strongest mix that the recipe makes. A measured value
    may be withdrawn while the label stays, so it only ever makes it graver.
    """
    held = [max(f.batch.vv_pct, f.batch.vv_high_pct) for f in open_fills(vessel)]
    strongest = max([strongest_vv_pct(vessel.kind), *held])
    category, flash = _by_strength(strongest), ""
    version = newest_versions(also=[vessel.kind]).get(vessel.kind)
    if version is not None and strongest:
        mix = mix_by_recipe(spec_of(version))
        measured, flash = _as_measured(mix)
        category = min((c for c in (category, measured) if c), default=None)
        flash = flash if measured == category else ""
    return _label(
        vessel, width_mm, height_mm, vv_pct=strongest, category=category, flash=flash
    )


def _by_strength(vv_pct: float) -> int | None:
    return liquid_class(vv_pct=vv_pct).category


def _as_measured(mix: Mix) -> tuple[int | None, str]:
    """Category by a measured flash point, and that value as it is read; "" for none."""
    shop = the_shop()
    known = known_flash(measurements(), mix)
    if known is None:
        return None, ""
    found = class_of_mix(mix, known=known, rules=rules_of(shop))
    if found is None:
        return None, ""
    return found.category, str(shown(known.flash_point_c, "degc", system=shop.system))


def fill_label(
    fill: Fill,
    *,
    width_mm: float = SMALL_MM[0],
    height_mm: float = SMALL_MM[1],
) -> LabelFacts:
    """The label of one filling: batch, order, when and by whom, until when."""
    batch = fill.batch
    # A vessel that was filled up goes by the older batch, and by the stronger.
    together = open_fills(fill.vessel) if fill.emptied_at is None else []
    strongest = max([batch.vv_high_pct, *(e.batch.vv_high_pct for e in together)])
    shop = the_shop()
    strength = soap = ""
    if batch.vv_pct:
        strength = str(shown(batch.vv_pct, "vv_pct", system=shop.system))
    doses = [f.soap for f in solution_of(batch).fills if f.soap is not None]
    if doses:
        soap = str(shown(doses[0].value, doses[0].unit, system=shop.system))
    filled = Filled(
        batch=batch.number,
        order=", ".join(_orders(fill)),
        mixed_at=batch.mixed_at,
        mixed_by=str(batch.mixed_by or ""),
        discard_at=min([batch.use_by, *(each.batch.use_by for each in together)]),
        strength=strength,
        soap=soap,
    )
    category, flash = _as_measured(mix_of(batch))
    if not flash:
        category = _by_strength(strongest)
    return _label(
        fill.vessel,
        width_mm,
        height_mm,
        vv_pct=strongest,
        category=category,
        flash=flash,
        filled=filled,
    )


def scan_svg(label: LabelFacts) -> str:
    """The code to scan: the vessel's code and nothing else, as an inline SVG."""
    code = segno.make(label.code, error="m", micro=False)
    return str(code.svg_inline(border=2, omitsize=True))


def label_pictogram_svgs(label: LabelFacts) -> list[str]:
    """The hazard pictograms of a label that has room for them."""
    if label.is_bare or (label.batch and not label.is_complete):
        return []
    return [pictogram_svg(code) for code in label.pictogram_codes]


def label_shape_svg(label: LabelFacts) -> str:
    """The shape of the kind, with its letter."""
    return shape_svg(shape=label.shape, letter=label.letter)


def _label(
    vessel: Vessel,
    width_mm: float,
    height_mm: float,
    *,
    vv_pct: float,
    category: int | None,
    flash: str,
    filled: Filled | None = None,
) -> LabelFacts:
    kind, is_bare = Kind(vessel.kind), is_bare_size(width_mm, height_mm)
    mark = KindMark.objects.filter(kind=kind.value).first()
    if kind is Kind.GEL:
        elements, not_known = _of_gel()
    else:
        elements, not_known = _of_mix(kind, vv_pct=vv_pct, category=category)
    return label_facts(
        width_mm=width_mm,
        height_mm=height_mm,
        code=vessel.code,
        kind=str(kind.label),
        letter=LETTERS[kind],
        shape=mark.shape if mark else "circle",
        contents=_contents(kind, vv_pct, in_full=filled is None and not is_bare),
        elements=elements,
        flash=flash,
        not_known=". ".join(not_known),
        shop=the_shop().name,
        filled=filled,
    )


def _of_mix(
    kind: Kind, *, vv_pct: float, category: int | None
) -> tuple[LabelElements, list[str]]:
    """Label elements of a mix, and what of them nobody knows."""
    soap = soap_sheet()
    soapy = kind in (Kind.SLIP, Kind.ALL_IN_ONE)
    elements, unsaid = hazards_of(
        vv_pct=vv_pct,
        soap_mass_pct=_soap_mass_pct(kind) if soapy else 0.0,
        soap_hazards=(soap.hazards or ()) if soapy else (),
        category=category,
        rules=rules_of(the_shop()),
    )
    not_known = [SOAP_NOT_READ] if soapy and soap.hazards is None else []
    if soapy and soap.left_out:
        not_known.append(f"Soap also {' '.join(soap.left_out)}: read its data sheet")
    return elements, not_known + ([CUTOFF_NOT_ENTERED] if unsaid else [])


def _of_gel() -> tuple[LabelElements, list[str]]:
    """The same of the gel, by its own data sheet."""
    rules = rules_of(the_shop())
    sheet = gel_sheet(rules=rules)
    source = IN_FORCE if rules.is_example else OPEN_STANDARD
    elements = product_label(sheet, source=source)
    if elements is None:
        return label_elements(hazards=(), source=source), [GEL_NOT_READ]
    if sheet.left_out:
        return elements, [f"Also {' '.join(sheet.left_out)}: read its data sheet"]
    return elements, []


def _contents(kind: Kind, vv_pct: float, *, in_full: bool) -> str:
    """What is in it; what burns by its name, and up to how much of it there may be."""
    if kind not in (Kind.TACK, Kind.ALL_IN_ONE) or not vv_pct:
        return CONTENTS[kind]
    system = the_shop().system
    most = shown(math.ceil(vv_pct), "vv_pct", system=system)
    how = f" (up to {most})" if in_full else ""
    return CONTENTS[kind].replace("isopropyl alcohol", f"isopropyl alcohol{how}")


def _soap_mass_pct(kind: str) -> float:
    """The most soap the recipe makes; a soap weighs about what water does."""
    spec = recipe_of_kind(kind)
    return 0.0 if spec is None else spec.most_soap_pct


def _orders(fill: Fill) -> list[str]:
    ties = fill.batch.order_batches.select_related("workorder")
    return list(dict.fromkeys(tie.workorder.number for tie in ties))
