"""Facts of a vessel's label: its permanent one, or that of one filling."""

from __future__ import annotations

from jobs.papers.facts import Json, shop_facts, to_json
from mixing.models import Fill, Vessel
from mixing.papers import fill_label, kind_label, label_shape_svg, scan_svg


def vessel_label_facts(subject: str, *, width_mm: float, height_mm: float) -> Json:
    """The label that a subject names: "fill 12" or "vessel 4".

    Its shape and code are kept as drawn.
    """
    if subject.startswith("fill "):
        fill = _fill(subject)
        label = fill_label(fill, width_mm=width_mm, height_mm=height_mm)
    else:
        vessel = Vessel.objects.get(pk=_key(subject))
        label = kind_label(vessel, width_mm=width_mm, height_mm=height_mm)
    return {
        "shop": to_json(shop_facts()),
        "label": to_json(label),
        "scan": scan_svg(label),
        "shape": label_shape_svg(label),
    }


def label_number(subject: str) -> str:
    """The number of a label: batch and vessel, or the vessel alone."""
    if subject.startswith("fill "):
        fill = _fill(subject)
        return f"{fill.batch.number}-{fill.vessel.code}"
    return f"V-{Vessel.objects.get(pk=_key(subject)).code}"


def _fill(subject: str) -> Fill:
    return Fill.objects.select_related("vessel", "batch").get(pk=_key(subject))


def _key(subject: str) -> int:
    return int(subject.partition(" ")[2])
