"""Facts of off-cuts' labels: what stands on the piece, with a code to scan."""

from __future__ import annotations

import segno
from django.db.models import QuerySet

from jobs.models import OffCut, Pull
from jobs.papers.facts import Json, shop_facts, to_json
from shopapp.models import the_shop
from shopapp.telling import show

SUBJECTS = ("offcut", "pull")
"""What labels may be asked for: one piece, or all that a pull left."""
DRAWN_PT, DRAWN_MM = 5.4, (57.0, 32.0)
"""Size of the plain text on a label of this size; another one grows with it."""


def offcut_labels_facts(
    subject: str, *, width_mm: float, height_mm: float, sheet: str = ""
) -> Json:
    """The labels of the off-cuts that a subject names.

    subject  "offcut 12", or "pull 9" for what that pull left and is still there
    sheet    A4 or Letter for many on a sheet; empty for a label printer
    """
    scale = min(width_mm / DRAWN_MM[0], height_mm / DRAWN_MM[1])
    return {
        "shop": to_json(shop_facts()),
        "sheet": sheet,
        "width_mm": width_mm,
        "height_mm": height_mm,
        "text_pt": round(DRAWN_PT * scale, 3),
        "labels": [_label(offcut) for offcut in offcuts_of(subject)],
    }


def offcuts_of(subject: str) -> QuerySet[OffCut]:
    """The off-cuts that a subject names."""
    what, _, key = subject.partition(" ")
    rows = OffCut.objects.select_related("film", "roll").order_by("pk")
    if what == "offcut":
        return rows.filter(pk=int(key))
    kept = rows.filter(used_at=None, scrapped_at=None)
    return kept.filter(
        movements__pull=int(key), movements__what="offcut_kept"
    ).distinct()


def offcut_label_number(subject: str) -> str:
    """The number of a label, or of all those of a pull."""
    what, _, key = subject.partition(" ")
    if what == "offcut":
        return f"OFFCUT-{OffCut.objects.get(pk=int(key)).code}"
    pull = Pull.objects.select_related("workorder").get(pk=int(key))
    return f"{pull.workorder.number}-OFFCUTS-{pull.pk}"


def _label(offcut: OffCut) -> Json:
    return {
        "code": offcut.code,
        "film": offcut.film.name,
        "film_code": offcut.film.code,
        "width": _mm(offcut.width_mm),
        "length": _mm(offcut.length_mm),
        "is_directional": offcut.film.is_directional,
        "roll": offcut.roll.code,
        "lot": offcut.roll.lot,
        "location": offcut.location,
        "kept_at": offcut.kept_at.isoformat(),
        "scan": scan_svg(offcut.code),
    }


def scan_svg(text: str) -> str:
    """The off-cut's code and nothing else, to be scanned."""
    code = segno.make(text, error="m", micro=False)
    return str(code.svg_inline(border=2, omitsize=True))


def _mm(side_mm: int) -> str:
    return str(show(side_mm, unit="mm", system=the_shop().system))
