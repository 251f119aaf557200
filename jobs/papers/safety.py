"""The safety block as facts: sentences with their state, basis and source."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from jobs.models import WorkOrder
from jobs.papers.facts import said, to_json
from jobs.queries.safety import block_of
from mixing.hazards import BottleLabel, MissingInput, SafetyBlock, SafetyLine
from mixing.sheet import MixingSheet
from shopapp.say import Say

TOLD = 3
"""So many instructions stand in one paragraph."""
BY_RULES = "§"
"""Marks a line that goes by the set of rules named below the block."""
GRAVEST_FIRST = ("OVER", "NOT ASSESSED", "WATCH", "OK")


@dataclass(frozen=True, kw_only=True)
class LineFacts:
    """One line of the block."""

    key: str
    section: str
    state: str
    sentence: str
    basis: str
    source: str
    rules: str = ""


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
    rules: str = ""


def safety_facts(
    order: WorkOrder, *, sheet: MixingSheet | None, at: datetime
) -> dict[str, Any]:
    """The safety block of an order as things stand."""
    block, request = block_of(order, sheet=sheet, at=at)
    return to_json(
        facts_of(
            block,
            limit_ppm=request.held_limit_ppm,
            session_min=request.session_min,
            rules=request.rules.named,
        )
    )


def facts_of(
    block: SafetyBlock,
    *,
    limit_ppm: float | None,
    session_min: float | None,
    rules: str,
) -> SafetyFacts:
    """A block as it is kept."""
    return SafetyFacts(
        state=block.state.value,
        totals=tuple((section, state.value) for section, state in block.totals),
        fire=_line(block.fire_line),
        lines=tuple(_line(line) for line in block.lines),
        missing=_missing(block),
        labels=tuple(_label(label) for label in block.labels),
        wait_min=block.wait.value if block.wait else None,
        limit_ppm=limit_ppm,
        session_min=session_min,
        curve=tuple(
            (round(p.minute, 1), round(p.vapour_ppm, 1), round(p.lel_pct, 2))
            for p in block.curve
        ),
        caveat=said(block.caveat),
        rules=rules,
    )


def _missing(block: SafetyBlock) -> tuple[MissingFacts, ...]:
    """What to enter; the same thing of several containers is said once."""
    alike: dict[tuple[str, str], list[MissingInput]] = {}
    for need in block.to_enter:
        alike.setdefault((need.page, need.sentence.text), []).append(need)
    return tuple(
        MissingFacts(
            sentence=said(_of_all([need.sentence for need in needs])),
            page=page,
            lines=sum(len(need.lines) for need in needs),
        )
        for (page, _), needs in alike.items()
    )


def _of_all(sentences: list[Say]) -> Say:
    names = dict.fromkeys(name for each in sentences for name, _ in each.params)
    values = [dict(each.params) for each in sentences]
    together = {
        name: ", ".join(dict.fromkeys(str(value[name]) for value in values))
        for name in names
    }
    return Say(sentences[0].text, tuple(together.items()))


def _line(line: SafetyLine) -> LineFacts:
    return LineFacts(
        key=line.key,
        section=line.section,
        state=line.state.value if line.state else "",
        sentence=said(line.sentence),
        basis=said(line.basis) if line.basis else "",
        source=line.source,
        rules=line.rules,
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

    name      "" where the section goes on
    assessed  by state, the gravest first: (sentence, basis, number of its source)
    told      (sentence, number of its source)
    """

    name: str
    state: str
    assessed: tuple[tuple[str, tuple[tuple[str, str, int], ...]], ...]
    told: tuple[tuple[str, int], ...]


def sections_of(safety: Mapping[str, Any]) -> tuple[list[Section], list[str]]:
    """The lines by section as they are laid out, and the sources by number."""
    lines, states = _printed(safety), dict(safety["totals"])
    sources = list(dict.fromkeys(line["source"] for line in lines))
    number = {source: at for at, source in enumerate(sources, start=1)}
    names = list(dict.fromkeys(line["section"] for line in lines))
    found = []
    for name in names:
        own = [line for line in lines if line["section"] == name]
        told = [(x["sentence"], number[x["source"]]) for x in own if not x["state"]]
        found.append(
            Section(
                name=name,
                state=states.get(name, ""),
                assessed=tuple(
                    (state, alike)
                    for state in GRAVEST_FIRST
                    if (
                        alike := tuple(
                            (line["sentence"], basis, number[line["source"]])
                            for line, basis in _with_basis(own, state)
                        )
                    )
                ),
                told=tuple(told[:TOLD]),
            )
        )
        found += [
            Section(name="", state="", assessed=(), told=tuple(told[at : at + TOLD]))
            for at in range(TOLD, len(told), TOLD)
        ]
    return found, sources


def _printed(safety: Mapping[str, Any]) -> list[Mapping[str, Any]]:
    """The lines without what stands on the paper already, or limits nothing.

    A label with its pictograms heads the block; a container of a liquid that does not
    burn has no size to hold.
    """
    headed = {f"label:{label['name']}" for label in safety["labels"] if label["signal"]}
    return [
        line
        for line in safety["lines"]
        if line["key"] not in headed
        and not (
            line["key"].startswith("size:")
            and line["state"] == "OK"
            and not line.get("rules")
        )
    ]


def _with_basis(
    lines: Sequence[Mapping[str, Any]], state: str
) -> Iterator[tuple[Mapping[str, Any], str]]:
    """The lines of one state, each basis said once and not again after it.

    Marked where a set of rules stands behind the line.
    """
    said_already: set[str] = set()
    for line in lines:
        if line["state"] != state:
            continue
        basis = "" if line["basis"] in said_already else line["basis"]
        said_already.add(line["basis"])
        mark = BY_RULES if line.get("rules") else ""
        yield line, " ".join(part for part in (basis, mark) if part)
