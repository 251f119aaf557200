"""What the mixing pages draw: sentences and pours that open, the bottle, shapes."""

from __future__ import annotations

from dataclasses import dataclass
from string import Formatter
from typing import Any

from django import template
from django.template import Context
from django.template.loader import render_to_string
from django.utils.html import format_html
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext

from mixing.bench.label_facts import LETTERS, label_shape_svg, scan_svg
from mixing.bench.vessel_label import LabelFacts
from mixing.dispensers.dosing import Substance
from mixing.models import Batch, Kind, KindMark, RecipeVersion
from mixing.recipes.spec import spec_changes
from mixing.rule_sets.queries import rules_of
from mixing.safety.pictograms import pictogram_svg
from mixing.sheet.drawing import Layer, bottle_svg, shape_svg
from mixing.sheet.parts import MixingSheet, Pour, SolutionSheet, VesselFill
from mixing.sheet.queries import counted, solution_of, spec_of
from shopapp.figures import Figure
from shopapp.models import the_shop
from shopapp.once import once_a_page
from shopapp.say import Say
from shopapp.telling import show, tell
from shopapp.templatetags.shop import explanation_of, figure, system_of
from shopapp.units import Shown

register = template.Library()

SUBSTANCES = {
    Substance.WATER: "water",
    Substance.ALCOHOL: "alcohol",
    Substance.SOAP: "baby shampoo",
    Substance.GEL: "gel",
}
LOOKS = {
    Substance.WATER: "fill-a",
    Substance.ALCOHOL: "fill-b",
    Substance.SOAP: "fill-c",
    Substance.GEL: "fill-c",
}
OTHER = "fill-c"
"""What another version of the program poured and this one does not know."""


@register.simple_tag(takes_context=True)
def opened(context: Context, sentence: Say | str) -> SafeString:
    """A sentence whose numbers open where they stand."""
    if not isinstance(sentence, Say):
        return format_html("{}", sentence)
    params = dict(sentence.params)
    parts: list[Any] = []
    for text, name, _spec, _conversion in Formatter().parse(gettext(sentence.text)):
        parts.append(format_html("{}", text))
        if name is None:
            continue
        value = params[name]
        if isinstance(value, Figure):
            parts.append(_figure_html(context, value))
        else:
            one = Say("{it}", (("it", value),))
            parts.append(format_html("{}", tell(one, system=system_of(context))))
    return mark_safe("".join(parts))  # noqa: S308 - every part is escaped above


def _figure_html(context: Context, value: Figure) -> str:
    # Without its last line end no space comes before a full stop.
    return render_to_string("shopapp/_figure.html", figure(context, value)).strip()


@register.simple_tag
def pictogram(code: str) -> SafeString:
    """A pictogram of the open standard."""
    return mark_safe(pictogram_svg(code))  # noqa: S308 - a drawing of ours


@register.inclusion_tag("mixing/sheet/_pour_amount.html", takes_context=True)
def pour_amount(context: Context, pour: Pour) -> dict[str, Any]:
    """What is poured, in huge digits that open: mL, or a count of strokes or drops."""
    seen = show(pour.amount, system=system_of(context))
    if pour.is_counted:
        seen = counted(pour)
    assert isinstance(seen, Shown)
    return {
        **figure(context, pour.amount),
        "number": seen.number,
        "symbol": seen.symbol,
        "explanation": explanation_of(pour.amount.made_by),
    }


@register.simple_tag(takes_context=True)
def typed_pour(context: Context, pour: Pour) -> Shown:
    """What would be typed for a pour as it is asked: its number and its unit."""
    seen = show(pour.amount, system=system_of(context))
    assert isinstance(seen, Shown)
    return counted(pour) if pour.is_counted else seen


@register.simple_tag(takes_context=True)
def bottle(
    context: Context, fill: VesselFill, now: int | None = None, bare: bool = False
) -> SafeString:
    """A fill drawn as a bottle; `now` marks the pour at work, `bare` has no labels."""
    system = system_of(context)
    layers = [
        Layer(
            volume_ml=pour.target.value if pour.to_mark else pour.amount.value,
            look=LOOKS.get(pour.substance, OTHER),
            label=f"{show(pour.amount, system=system)} "
            f"{substance_name(pour.substance)}",
            is_now=now == number,
        )
        for number, pour in enumerate(fill.pours)
    ]
    svg = bottle_svg(
        layers=layers,
        full_ml=fill.planned.value * 1.04,
        title=", ".join(layer.label for layer in layers),
        is_bare=bare,
    )
    return mark_safe(svg)  # noqa: S308 - the drawing escapes its labels


@once_a_page
def _shapes() -> dict[str, str]:
    return dict(KindMark.objects.values_list("kind", "shape"))


@register.simple_tag
def kind_mark(kind: str) -> SafeString:
    """The shape and letter by which this shop tells a kind."""
    shape = _shapes().get(kind, "circle")
    svg = shape_svg(shape=shape, letter=LETTERS[Kind(kind)])
    return mark_safe(svg)  # noqa: S308 - a drawing of ours


@dataclass(frozen=True, kw_only=True)
class StripRow:
    """One pour of the strip over its columns."""

    kind: str
    substance: str
    codes: tuple[str, ...]
    amounts: tuple[Figure | None, ...]


@register.simple_tag
def strip_rows(sheet: MixingSheet) -> list[StripRow]:
    """The strip turned round: a row for each pour, a cell for each temperature."""
    cells: dict[tuple[Any, ...], dict[int, Figure]] = {}
    for at, column in enumerate(sheet.strip):
        for pour in column.pours:
            key = (pour.kind, pour.substance, pour.container, pour.codes)
            cells.setdefault(key, {})[at] = pour.amount
    return [
        StripRow(
            kind=kind.value,
            substance=substance.value,
            codes=codes,
            amounts=tuple(row.get(at) for at in range(len(sheet.strip))),
        )
        for (kind, substance, _container, codes), row in cells.items()
    ]


@register.simple_tag
def batch_solution(batch: Batch) -> SolutionSheet:
    """What really stands in the vessels of a batch."""
    return solution_of(batch)


@register.simple_tag
def label_scan(label: LabelFacts) -> SafeString:
    """The code to scan of a label."""
    return mark_safe(scan_svg(label))  # noqa: S308 - made by the code library


@register.simple_tag
def label_shape(label: LabelFacts) -> SafeString:
    """The shape of a label."""
    return mark_safe(label_shape_svg(label))  # noqa: S308 - a drawing of ours


@register.simple_tag
def recipe_changes(version: RecipeVersion) -> list[tuple[str, str, str]]:
    """What a version says otherwise than the one before it."""
    before = version.recipe.versions.filter(number=version.number - 1).first()
    return spec_changes(spec_of(before), spec_of(version)) if before else []


@register.filter
def substance_name(substance: str) -> str:
    """Water, alcohol, baby shampoo, gel."""
    if substance not in SUBSTANCES:
        return plain_word(substance)
    return gettext(SUBSTANCES[Substance(substance)])


@register.filter
def is_read(pour: Pour) -> bool:
    """Poured to an amount off a scale in one go; else its sentence is needed."""
    return not pour.to_mark and pour.fills == 1


@register.filter
def kind_name(kind: str) -> str:
    """Slip, tack, all-in-one, gel."""
    return Kind(kind).label if kind in Kind.values else plain_word(kind)


def plain_word(code: str) -> str:
    """A stored word that this version of the program does not know."""
    return code.replace("_", " ")


@register.simple_tag
def goes_by_example() -> bool:
    """Whether the shop goes by the federal example, whose paragraphs may be named."""
    return rules_of(the_shop()).is_example
