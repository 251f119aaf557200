"""The safety block as facts: sentences with their state, basis and source."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from jobs.models import WorkOrder
from jobs.papers.facts import said, to_json
from jobs.queries.safety import block_of
from mixing.hazards import BottleLabel, SafetyBlock, SafetyLine
from mixing.sheet import MixingSheet


@dataclass(frozen=True, kw_only=True)
class LineFacts:
    """One line of the block."""

    key: str
    section: str
    state: str
    sentence: str
    basis: str
    source: str


@dataclass(frozen=True, kw_only=True)
class LabelFacts:
    """What a bottle carries: name, strengths, elements of the open standard."""

    name: str
    vv_pct: float
    ww_pct: float
    signal: str
    pictograms: tuple[str, ...]
    hazards: tuple[tuple[str, str], ...]
    precautions: tuple[tuple[str, str], ...]
    source: str


@dataclass(frozen=True, kw_only=True)
class MissingFacts:
    """What nobody entered, and on which page it goes."""

    sentence: str
    page: str
    lines: int


@dataclass(frozen=True, kw_only=True)
class SafetyFacts:
    """The safety block.

    curve  minute, ppm, % of the lower explosive limit
    """

    state: str
    totals: tuple[tuple[str, str], ...]
    fire: LineFacts
    lines: tuple[LineFacts, ...]
    missing: tuple[MissingFacts, ...]
    labels: tuple[LabelFacts, ...]
    wait_min: float | None
    limit_ppm: float | None
    session_min: float | None
    curve: tuple[tuple[float, float, float], ...]
    caveat: str


def safety_facts(
    order: WorkOrder, *, sheet: MixingSheet | None, at: datetime
) -> dict[str, Any]:
    """The safety block of an order as things stand."""
    block, request = block_of(order, sheet=sheet, at=at)
    return to_json(
        facts_of(block, limit_ppm=request.limit_ppm, session_min=request.session_min)
    )


def facts_of(
    block: SafetyBlock, *, limit_ppm: float | None, session_min: float | None
) -> SafetyFacts:
    """A block as it is kept."""
    return SafetyFacts(
        state=block.state.value,
        totals=tuple((section, state.value) for section, state in block.totals),
        fire=_line(block.fire_line),
        lines=tuple(_line(line) for line in block.lines),
        missing=tuple(
            MissingFacts(
                sentence=said(need.sentence), page=need.page, lines=len(need.lines)
            )
            for need in block.to_enter
        ),
        labels=tuple(_label(label) for label in block.labels),
        wait_min=block.wait.value if block.wait else None,
        limit_ppm=limit_ppm,
        session_min=session_min,
        curve=tuple(
            (round(p.minute, 1), round(p.vapour_ppm, 1), round(p.lel_pct, 2))
            for p in block.curve
        ),
        caveat=said(block.caveat),
    )


def _line(line: SafetyLine) -> LineFacts:
    return LineFacts(
        key=line.key,
        section=line.section,
        state=line.state.value if line.state else "",
        sentence=said(line.sentence),
        basis=said(line.basis) if line.basis else "",
        source=line.source,
    )


def _label(label: BottleLabel) -> LabelFacts:
    elements = label.elements
    return LabelFacts(
        name=label.name,
        vv_pct=label.vv_pct.value,
        ww_pct=label.ww_pct.value,
        signal=elements.signal or "",
        pictograms=elements.pictograms,
        hazards=tuple((p.code, p.text) for p in elements.hazard_phrases),
        precautions=tuple((p.code, p.text) for p in elements.precautions),
        source=elements.source,
    )


@dataclass(frozen=True, kw_only=True)
class Section:
    """Lines of one section; each source is named once, by its number.

    assessed  (state, sentence, basis, number of its source)
    told      (sentence, number of its source)
    """

    name: str
    state: str
    assessed: tuple[tuple[str, str, str, int], ...]
    told: tuple[tuple[str, int], ...]


def sections_of(safety: Mapping[str, Any]) -> tuple[list[Section], list[str]]:
    """The lines by section as they are laid out, and the sources by number."""
    lines, states = safety["lines"], dict(safety["totals"])
    sources = list(dict.fromkeys(line["source"] for line in lines))
    number = {source: at for at, source in enumerate(sources, start=1)}
    names = list(dict.fromkeys(line["section"] for line in lines))
    found = []
    for name in names:
        own = [line for line in lines if line["section"] == name]
        found.append(
            Section(
                name=name,
                state=states.get(name, ""),
                assessed=tuple(
                    (
                        line["state"],
                        line["sentence"],
                        line["basis"],
                        number[line["source"]],
                    )
                    for line in own
                    if line["state"]
                ),
                told=tuple(
                    (line["sentence"], number[line["source"]])
                    for line in own
                    if not line["state"]
                ),
            )
        )
    return found, sources
