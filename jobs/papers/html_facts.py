"""From kept facts to the page of a paper: HTML, and what travels inside the PDF."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import segno
from django.conf import settings
from django.template.loader import render_to_string
from django.utils import timezone, translation
from django.utils.safestring import SafeString
from django.utils.translation import gettext

from jobs.as_kept import known_fields, word
from jobs.coverage.car_drawing import DrawnPanel, PanelState, car_svg
from jobs.coverage.catalogue import Badge, Body, Edge, Seam
from jobs.models import Paper
from jobs.papers.columns import parted
from jobs.papers.facts import Json, ShopFacts, revived
from jobs.papers.image_facts import image_of
from jobs.papers.kept_facts import facts_kept
from jobs.papers.kind_facts import KINDS
from jobs.papers.record_facts import mixed_now, signature_of
from jobs.papers.safety_facts import in_two_columns, pieces_of
from mixing.safety.pictograms import PICTOGRAMS, pictogram_svg
from mixing.safety.vapour_plot import PAPER_PLOT, vapour_plot_svg
from mixing.sheet import MixingSheet, StripPour
from mixing.sheet.queries import sheet_of

PAGE_MM = {"A4": 267, "Letter": 249}
"""What the margins leave of a page's height."""
BESIDES_MM = 109
"""Title, facts, film, reading, two fire lines and signatures of page one, and air."""
CAR_MM = {"car-xl": 94, "car-l": 84, "car-m": 74, "car-s": 64, "car-xs": 54}
MOST_IN_A_COLUMN = 9
"""More panels than this stand in two columns on page one."""


def paper_html(paper: Paper) -> str:
    """The page of a paper, from its facts alone."""
    facts = facts_kept(paper)
    shop = ShopFacts(**known_fields(ShopFacts, facts["shop"]))
    # A customer's paper is in the customer's language, whoever prints it.
    language = facts.get("language") or settings.LANGUAGE_CODE
    with timezone.override(shop.zone), translation.override(language):
        context = {
            "shop": shop,
            "shop_name": shop.name,
            "size": paper.size.lower(),
            "number": paper.number,
            "version": paper.version,
            "replaces": paper.replaces,
            "asked_at": paper.asked_at,
            "facts": revived(facts),
        }
        context |= _more(paper, facts)
        return render_to_string(KINDS[paper.kind].template, context)


def whole_html(paper: Paper) -> list[str]:
    """Its page, and those of the papers that it holds, in their order."""
    parts = facts_kept(paper).get("parts") if paper.kind == Paper.Kind.MORNING else ()
    held = Paper.objects.in_bulk([part["paper"] for part in parts or ()])
    return [
        paper_html(paper),
        *(paper_html(held[part["paper"]]) for part in parts or ()),
    ]


def attachments(paper: Paper) -> list[Json]:
    """The facts as a file inside the paper, where its kind carries them."""
    if not KINDS[paper.kind].attaches:
        return []
    text = json.dumps(paper.facts, ensure_ascii=False, indent=1, sort_keys=True)
    return [
        {
            "name": f"{paper.number}-v{paper.version}.json",
            "data": text.encode(),
            "description": gettext("The facts of this paper"),
        }
    ]


def _more(paper: Paper, facts: Json) -> Json:
    """What is drawn or laid out anew from the facts."""
    if paper.kind in SIGNED:
        return {"signature": signature_of(facts), "cars": cars_of(facts)}
    if paper.kind not in (Paper.Kind.WORK_ORDER, Paper.Kind.MIXING_SHEET):
        return {}
    sheet = sheet_of(facts["sheet"]) if facts["sheet"] else None
    strip = strip_rows(sheet) if sheet and sheet.printed_ahead else None
    if paper.kind == Paper.Kind.MIXING_SHEET:
        return {"sheet": sheet, "strip": strip}
    many = len(facts["panels"]) > MOST_IN_A_COLUMN
    return {
        "panel_columns": parted(
            facts["panels"], number=2 if many else 1, weight=lambda panel: 1
        ),
        "qr": qr_image(facts["url"]),
        "car": car_of(facts),
        "car_size": car_size(facts, sheet, size=paper.size),
        "sheet": sheet,
        "is_alone": sheet and sum(len(each.fills) for each in sheet.solutions) == 1,
        "strip": strip,
        "signature": signature_of(facts),
        "mixed_now": mixed_now(facts),
        **safety_parts(facts["safety"]),
    }


SIGNED = (Paper.Kind.ESTIMATE, Paper.Kind.DROP_OFF)
"""Papers that a customer signs."""


def cars_of(facts: Json) -> list[tuple[Json, SafeString]]:
    """The packages of an estimate, each with the car drawn; of others nothing."""
    found = []
    for choice in facts.get("choices", ()):
        known = {"body": facts["body"], "panels": _as_chosen(choice)}
        found.append((choice, car_of(known, with_legend=False)))
    return found


def _as_chosen(choice: Json) -> list[Json]:
    return [{"state": "", "struck_off": "", **panel} for panel in choice["panels"]]


def safety_parts(safety: Mapping[str, Any]) -> Json:
    """What the safety block is laid out from: labels, plot, lines in two columns."""
    labels = labels_alike(safety["labels"])
    plot = plot_of(safety)
    return {
        "labels": labels,
        "phrases": phrases_of(labels),
        "plot": plot,
        "safety_columns": in_two_columns(
            pieces_of(safety), labels=labels, has_plot=plot is not None
        ),
        "pictograms": {
            code: image_of(pictogram_svg(code), alt=PICTOGRAMS[code], css="ghs")
            for label in labels
            for code in label["pictograms"]
        },
    }


def qr_image(url: str) -> SafeString:
    """The address as a code to scan."""
    code = segno.make(url, error="m", micro=False)
    svg = str(code.svg_inline(border=2, omitsize=True))
    return image_of(svg, alt=gettext("Code to scan: this order's page"))


def car_of(facts: Mapping[str, Any], *, with_legend: bool = True) -> SafeString:
    """The car with its panels as they stood."""
    drawn = [
        DrawnPanel(
            panel=panel["code"],
            state=word(PanelState, panel["state"], usual=PanelState.CHOSEN),
            edge=word(Edge, panel["edge"], usual=Edge.CUT_SHORT),
            badge=word(Badge, panel["badge"], usual=Badge.NONE),
            seam=word(Seam, panel["seam"], usual=Seam.NONE),
        )
        for panel in facts["panels"]
        if not panel["struck_off"]
    ]
    title = gettext("The car and its panels")
    body = Body(facts["body"])
    svg = car_svg(body=body, panels=drawn, title=title, with_legend=with_legend)
    return image_of(svg, alt=title)


def car_size(facts: Mapping[str, Any], sheet: MixingSheet | None, *, size: str) -> str:
    """How large the car is drawn, so that page one stays one page."""
    lines = sum(-(-(len(word) + len(text)) // 105) for word, text in facts["red_lines"])
    sources = film_lines(facts["film"])
    fills = [fill for each in sheet.solutions for fill in each.fills] if sheet else []
    pours = max((len(fill.pours) for fill in fills), default=0)
    if len(fills) == 1:
        pours = 1
    several = any(fill.count > 1 for fill in fills)
    strip = strip_rows(sheet) if sheet and sheet.printed_ahead else None
    taken = BESIDES_MM + 4 * lines + 5 * sources + 12.5 * pours + 4 * several
    taken += 4 * (fire_lines(facts["safety"]) + laying_lines(facts.get("laying", {})))
    taken += 13 * bool(fills) + (14 + 6.6 * len(strip.rows) if strip else 0)
    room = PAGE_MM[size] - taken
    return next((name for name, mm in CAR_MM.items() if mm <= room), "car-xs")


def fire_lines(safety: Mapping[str, Any]) -> int:
    """Lines of the fire line beyond the two that it always may take."""
    told = f"{safety['fire']['state']} {safety['fire']['sentence']}"
    if safety["fire"]["state"] == "OVER":
        told += "".join(safety.get("do", ())[:1])
    return max(0, -(-len(told) // 88) - 2)


def laying_lines(laying: Mapping[str, Any]) -> int:
    """Lines of page one on what stands against laying."""
    says = laying.get("says", ())
    return sum(-(-(len(each) + 16) // 100) for each in says) + bool(says)


def film_lines(film: Mapping[str, Any]) -> int:
    """Lines of page one on film that was taken, or is to be."""
    taken, waiting = film["taken"], film["waiting"] or {"sources": ()}
    changed = " ".join(waiting.get("changed", ()))
    words = sum(len(" · ".join(each["panels"])) for each in taken) // 90
    several = words if len(taken) > 1 else 0
    more = len(film["wound_back"]) + bool(film["lots"])
    shared = bool(waiting.get("orders"))
    more += 1 + len(changed) // 90 if changed else len(waiting["sources"]) + shared
    return len(taken) + several + more


def labels_alike(labels: Sequence[Mapping[str, Any]]) -> list[Json]:
    """Labels that say the same stand once, with all their names."""
    found: dict[str, Json] = {}
    for label in labels:
        said = json.dumps([label["signal"], label["pictograms"], label["hazards"]])
        known = found.setdefault(said, {**label, "names": []})
        known["names"].append(label["name"])
    return [label for label in found.values() if label["signal"]]


def phrases_of(labels: Sequence[Mapping[str, Any]]) -> list[tuple[str, str]]:
    """The hazard statements of several labels, each said once under them."""
    if len(labels) < 2:
        return []
    return sorted({(code, text) for each in labels for code, text in each["hazards"]})


def plot_of(safety: Mapping[str, Any]) -> SafeString | None:
    """Vapour over the job, where it is known."""
    points = [(minute, ppm) for minute, ppm, _ in safety["curve"]]
    if len(points) < 2:
        return None
    title = gettext("Average vapor in the bay over this job")
    svg = vapour_plot_svg(
        points,
        limit_ppm=safety["limit_ppm"],
        session_min=safety["session_min"],
        title=title,
        limit_label=gettext("limit"),
        end_label=gettext("end of the job"),
        size=PAPER_PLOT,
    )
    return image_of(svg, alt=title, css="plot")


@dataclass(frozen=True, kw_only=True)
class StripRow:
    """One pour at each temperature of the strip."""

    kind: str
    vessels: str
    substance: str
    container: str
    to_mark: bool
    cells: tuple[StripPour | None, ...]


@dataclass(frozen=True, kw_only=True)
class Strip:
    """The strip as a table."""

    heads: tuple[Any, ...]
    rows: tuple[StripRow, ...]


def strip_rows(sheet: MixingSheet) -> Strip:
    """The strip turned: a row for each pour, a column for each temperature.

    Only of what waits for the reading; the rest has its pours already.
    """
    ahead = {each.kind for each in sheet.solutions if not each.fills}
    keys: dict[tuple[str, tuple[str, ...], int, str, str], None] = {}
    columns = []
    for column in sheet.strip:
        pours = {_key(pour): pour for pour in column.pours if pour.kind in ahead}
        keys |= dict.fromkeys(pours)
        columns.append(pours)
    rows = []
    for key in keys:
        cells = tuple(pours.get(key) for pours in columns)
        first = next(cell for cell in cells if cell is not None)
        rows.append(
            StripRow(
                kind=first.kind.value.replace("_", "-"),
                vessels=", ".join(first.codes) or f"{first.count} ×",
                substance=first.substance.value,
                container=first.container,
                to_mark=first.to_mark,
                cells=cells,
            )
        )
    heads = tuple(column.panel for column in sheet.strip)
    return Strip(heads=heads, rows=tuple(rows))


def _key(pour: StripPour) -> tuple[str, tuple[str, ...], int, str, str]:
    return (
        pour.kind.value,
        pour.codes,
        pour.count,
        pour.substance.value,
        pour.container,
    )
