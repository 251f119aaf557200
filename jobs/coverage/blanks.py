"""From a panel to the blank that is cut for it (pure).

A blank is the panel's bounding rectangle, enlarged on each axis by the edge wrap and,
for hand-fitted film, by something to hold that is trimmed off later. Along the car
is `length`, across it or up is `width`; how it lies on the roll is nesting's matter.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache

from jobs.coverage.allowances import Allowance
from jobs.coverage.catalogue import Body, Edge, PanelChoice, panel_name, panels
from jobs.tables import table
from shopapp.figures import Figure, computed, formula, given
from shopapp.say import Say, say

MM_PER_INCH = 25.4
UNITS_TYPED = {"mm": 1.0, "in": MM_PER_INCH, "cm": 10.0}
"""Millimetres in what people measure in; inches are asked about before centimetres."""
SMALLEST_SIDE_SHARE, LARGEST_SIDE_SHARE = 0.35, 2.5
LARGEST_SIDE_MM = 4000


@dataclass(frozen=True, kw_only=True)
class PanelSize:
    """Bounding rectangle of a panel, developed flat.

    basis  "measured" on such a car, or "template" by size class
    note   which car or class it is from
    """

    length_mm: int
    width_mm: int
    basis: str
    note: str


@dataclass(frozen=True, kw_only=True)
class PanelBlank:
    """The piece cut for one panel: whole mm as figures that open.

    basis  said on the sheet: measured or template, and of what
    """

    panel: str
    length_mm: Figure
    width_mm: Figure
    basis: Say


@cache
def _templates() -> Mapping[tuple[str, str, str], tuple[int, int]]:
    return {
        (row["size_class"], row["body"], row["kind"]): (
            int(row["length_mm"]),
            int(row["width_mm"]),
        )
        for row in table("panel_sizes")
    }


@cache
def size_classes() -> Mapping[str, str]:
    """Size classes by code, with their names, from small to large."""
    return {row["code"]: row["name"] for row in table("size_classes")}


def template_size(code: str, *, size_class: str, body: Body) -> PanelSize:
    """The size a panel has by class, until somebody measures it.

    code        panel code
    size_class  a code of `size_classes`
    body        its own template wins over that of the class
    Raises KeyError for an unknown panel or class.
    """
    kind = panels()[code].kind
    templates = _templates()
    own, usual = (size_class, body.value, kind), (size_class, "", kind)
    length_mm, width_mm = templates[own if own in templates else usual]
    return PanelSize(
        length_mm=length_mm,
        width_mm=width_mm,
        basis="template",
        note=size_classes()[size_class],
    )


def panel_size(
    code: str,
    *,
    size_class: str,
    body: Body,
    measured: Mapping[str, PanelSize],
) -> PanelSize:
    """A panel's size: what was measured on such a car wins over the template."""
    if code in measured:
        return measured[code]
    return template_size(code, size_class=size_class, body=body)


@formula("blanks.blank_side_mm")
def side_mm(*, panel_mm: float, wrap_mm: float, hold_mm: float) -> int:
    """One side of a blank.

        side = panel + 2 x (edge wrap + handling margin), up to the next whole mm

    panel_mm  panel on this axis, mm, above 0
    wrap_mm   film turned round the edge, a side, mm, 0 or more; usually 6 to 15
    hold_mm   film to hold and trim off, a side, mm, 0 or more; usually 50 to 75 for
              hand-fitted film, none for pre-cut
    Not for: the gap between blanks on the roll, which nesting adds.
    Source: common practice, no published source (wrap and margin); plain addition.

    >>> side_mm(panel_mm=1060, wrap_mm=10, hold_mm=60)
    1200
    """
    if panel_mm <= 0:
        raise ValueError("a panel's side must be above 0 mm")
    if wrap_mm < 0 or hold_mm < 0:
        raise ValueError("edge wrap and handling margin cannot be negative")
    return math.ceil(round(panel_mm + 2 * (wrap_mm + hold_mm), 6))


def blank_side_mm(
    *, panel_mm: float, wrap_mm: float, hold_mm: float, axis: str = ""
) -> Figure:
    """One side of a blank, as a figure; axis: "length" or "width"."""
    shown = (
        ("axis", axis),
        ("panel", given(panel_mm, "mm", "panel size")),
        ("edge wrap a side", given(wrap_mm, "mm", "allowance")),
        ("handling margin a side", given(hold_mm, "mm", "allowance")),
    )
    return computed(
        side_mm,
        "mm",
        None,
        shown,
        panel_mm=panel_mm,
        wrap_mm=wrap_mm,
        hold_mm=hold_mm,
    )


def panel_blank(
    choice: PanelChoice, *, size: PanelSize, body: Body, allowance: Allowance
) -> PanelBlank:
    """The blank for a panel as it was agreed.

    allowance  of its kind and method (`jobs.coverage.allowances.allowance_for`)
    An edge cut short has no wrap.
    """
    wraps = choice.edge is Edge.WRAPPED
    pattern = (
        "{panel}: measured on {note}."
        if size.basis == "measured"
        else "{panel}: template for {note} cars; measure it."
    )
    return PanelBlank(
        panel=choice.panel,
        length_mm=blank_side_mm(
            panel_mm=size.length_mm,
            wrap_mm=allowance.wrap_length_mm if wraps else 0.0,
            hold_mm=allowance.hold_length_mm,
            axis="length",
        ),
        width_mm=blank_side_mm(
            panel_mm=size.width_mm,
            wrap_mm=allowance.wrap_width_mm if wraps else 0.0,
            hold_mm=allowance.hold_width_mm,
            axis="width",
        ),
        basis=say(pattern, panel=panel_name(choice.panel, body=body), note=size.note),
    )


@formula("blanks.film_area_m2")
def area_m2(*, sizes: Iterable[PanelSize]) -> float:
    """Area of film that stays on the car, which the solutions are poured for.

        area = sum of panel length x width / 1 000 000

    sizes   panels laid, mm
    Not for: film bought; that is the pull. Bounding rectangles overstate round panels.
    Source: definition of the square metre.

    >>> hood = PanelSize(length_mm=1060, width_mm=1440, basis="measured", note="")
    >>> round(area_m2(sizes=[hood]), 4)
    1.5264
    """
    return sum(size.length_mm * size.width_mm / 1e6 for size in sizes)


def film_area_m2(sizes: Iterable[PanelSize]) -> Figure:
    """Area of film that stays on the car, as a figure."""
    laid = tuple(sizes)
    shown = tuple(
        (f"panel {number}", given(area_m2(sizes=[size]), "m2", "length x width"))
        for number, size in enumerate(laid, start=1)
    )
    return computed(area_m2, "m2", None, shown, sizes=laid)


def size_problem(
    code: str,
    *,
    length_mm: float,
    width_mm: float,
    size_class: str,
    body: Body,
    unit: str = "mm",
) -> Say | None:
    """Why a typed panel size cannot be right, or None.

    length_mm, width_mm  as entered, in mm
    unit                 what they were typed in, "mm" or "in"
    A side far from the class's template is refused; when the numbers make sense in
    another unit, that is what the sentence says.
    """
    name = panel_name(code, body=body)
    typed_mm = (length_mm, width_mm)
    if not all(math.isfinite(side) and side > 0 for side in typed_mm):
        return say("{panel}: both sides must be above 0.", panel=name)
    template = template_size(code, size_class=size_class, body=body)
    usual_mm = (template.length_mm, template.width_mm)
    if _are_plausible(typed_mm, usual_mm=usual_mm):
        return None
    typed = [side / UNITS_TYPED[unit] for side in typed_mm]
    meant = next(
        (
            other
            for other, mm in UNITS_TYPED.items()
            if other != unit
            and _are_plausible([side * mm for side in typed], usual_mm=usual_mm)
        ),
        "",
    )
    patterns = {
        "": "{panel} of {length} × {width} {unit} cannot be right: such a panel is "
        "about {usual_length} × {usual_width}.",
        "mm": "{panel} of {length} × {width} {unit}: was that measured in "
        "millimetres? Such a panel is about {usual_length} × {usual_width}.",
        "cm": "{panel} of {length} × {width} {unit}: was that measured in "
        "centimetres? Such a panel is about {usual_length} × {usual_width}.",
        "in": "{panel} of {length} × {width} {unit}: was that measured in inches? "
        "Such a panel is about {usual_length} × {usual_width}.",
    }
    return say(
        patterns[meant],
        panel=name,
        length=f"{typed[0]:.5g}",
        width=f"{typed[1]:.5g}",
        unit=unit,
        usual_length=given(usual_mm[0], "mm", "template"),
        usual_width=given(usual_mm[1], "mm", "template"),
    )


def _are_plausible(sides_mm: Sequence[float], *, usual_mm: Sequence[float]) -> bool:
    return all(
        _is_plausible(side, usual_mm=usual)
        for side, usual in zip(sides_mm, usual_mm, strict=True)
    )


def _is_plausible(side_mm: float, *, usual_mm: float) -> bool:
    share = side_mm / usual_mm
    return (
        SMALLEST_SIDE_SHARE <= share <= LARGEST_SIDE_SHARE
        and side_mm <= LARGEST_SIDE_MM
    )
