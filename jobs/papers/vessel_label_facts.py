"""Facts of vessels' labels: permanent ones, and those of what was filled in."""

from __future__ import annotations

from collections.abc import Iterator

from jobs.papers.facts import Json, shop_facts, to_json
from mixing.bench.label_facts import (
    fill_label,
    kind_label,
    label_pictogram_svgs,
    label_shape_svg,
    scan_svg,
)
from mixing.models import Batch, Fill, KindMark, Vessel
from shopapp.models import the_shop

SUBJECTS = ("fill", "vessel", "batch", "kind", "shop")
"""What labels may be asked for."""


def labels_facts(
    subject: str, *, width_mm: float, height_mm: float, sheet: str = ""
) -> Json:
    """The labels that a subject names, each with its shape and code as drawn.

    subject  "fill 12", "vessel 4", "batch 7" (what stands of it in vessels),
             "kind 2" (the vessels of a kind), "shop 1" (all vessels)
    sheet    A4 or Letter for many on a sheet; empty for a label printer
    """
    of_batch = the_shop().has_batch_labels
    labels = [
        # Batch and discard-by stand behind the code; the lasting label holds for each.
        *(
            fill_label(fill, width_mm=width_mm, height_mm=height_mm)
            if of_batch
            else kind_label(fill.vessel, width_mm=width_mm, height_mm=height_mm)
            for fill in _fills(subject)
        ),
        *(
            kind_label(vessel, width_mm=width_mm, height_mm=height_mm)
            for vessel in _vessels(subject)
        ),
    ]
    return {
        "shop": to_json(shop_facts()),
        "sheet": sheet,
        "width_mm": width_mm,
        "height_mm": height_mm,
        "labels": [
            {
                "label": to_json(label),
                "scan": scan_svg(label),
                "shape": label_shape_svg(label),
                "pictograms": label_pictogram_svgs(label),
            }
            for label in labels
        ],
    }


def is_there(subject: str) -> bool:
    """Whether a subject names anything that a label could stand on."""
    known = (_fills(subject), _vessels(subject))
    return any(any(True for _ in rows) for rows in known)


def label_number(subject: str) -> str:
    """The number of a label, or of all those of a batch, a kind, the shop."""
    what, key = _parts(subject)
    if what == "fill":
        fill = next(_fills(subject))
        return f"{fill.batch.number}-{fill.vessel.code}"
    if what == "batch":
        return f"{Batch.objects.get(pk=key).number}-LABELS"
    if what == "vessel":
        return f"V-{Vessel.objects.get(pk=key).code}"
    if what == "kind":
        return f"VESSELS-{KindMark.objects.get(pk=key).kind}"
    return "VESSELS"


def _fills(subject: str) -> Iterator[Fill]:
    what, key = _parts(subject)
    rows = Fill.objects.select_related("vessel", "batch")
    if what == "fill":
        yield from rows.filter(pk=key)
    elif what == "batch":
        yield from rows.filter(batch=key, emptied_at__isnull=True)


def _vessels(subject: str) -> Iterator[Vessel]:
    what, key = _parts(subject)
    rows = Vessel.objects.filter(retired=False)
    if what == "vessel":
        yield from rows.filter(pk=key)
    elif what == "kind":
        kinds = KindMark.objects.filter(pk=key).values("kind")
        yield from rows.filter(kind__in=kinds)
    elif what == "shop":
        yield from rows


def _parts(subject: str) -> tuple[str, int]:
    what, _, key = subject.partition(" ")
    return what, int(key)
