"""The safety block as facts: sentences with their state, basis and source."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from math import ceil
from typing import Any

from jobs.air.queries import block_of
from jobs.models import WorkOrder
from jobs.papers.facts import said, to_json
from mixing.safety.block import SafetyBlock
from mixing.safety.brief import BriefLine, brief_lines, brief_need
from mixing.safety.liquid_lines import BottleLabel
from mixing.safety.states import MissingInput, SafetyLine
from mixing.sheet import MixingSheet
from shopapp.say import Say


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
class BriefFacts:
    """A line, or several alike, in the few words that paper has room for."""

    section: str
    state: str
    text: str
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
    """What nobody entered, in few words, and on which page it goes."""

    sentence: str
    page: str
    lines: int


@dataclass(frozen=True, kw_only=True)
class SafetyFacts:
    """The safety block.

    head   state and its sections, the gravest first; () on papers of before
    do     what to do about it, the gravest first
    curve  minute, ppm, % of the lower explosive limit
    """

    state: str
    totals: tuple[tuple[str, str], ...]
    fire: LineFacts
    lines: tuple[LineFacts, ...]
    brief: tuple[BriefFacts, ...]
    missing: tuple[MissingFacts, ...]
    labels: tuple[LabelFacts, ...]
    wait_min: float | None
    limit_ppm: float | None
    session_min: float | None
    curve: tuple[tuple[float, float, float], ...]
    caveat: str
    rules: str = ""
    head: tuple[tuple[str, tuple[str, ...]], ...] = ()
    do: tuple[str, ...] = ()


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
        brief=tuple(_brief(line) for line in _on_paper(block, rules=rules)),
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
        head=tuple((state.value, names) for state, names in block.head.states),
        do=tuple(said(each) for each in block.head.do),
    )


def _missing(block: SafetyBlock) -> tuple[MissingFacts, ...]:
    """What to enter; the same thing of several containers is said once."""
    alike: dict[tuple[str, str], list[MissingInput]] = {}
    for need in block.to_enter:
        alike.setdefault((need.page, need.sentence.text), []).append(need)
    return tuple(
        MissingFacts(
            sentence=said(brief_need(_of_all([need.sentence for need in needs]))),
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


def _on_paper(block: SafetyBlock, *, rules: str) -> tuple[BriefLine, ...]:
    """A label with its pictograms heads the block: its line need not say it again."""
    headed = [f"label:{label.name}" for label in block.labels if label.elements.signal]
    return brief_lines(block.shown, headed=headed, rules=rules)


def _brief(line: BriefLine) -> BriefFacts:
    return BriefFacts(
        section=line.section,
        state=line.state.value if line.state else "",
        text=said(line.sentence),
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


LINE_EM = 28.5
"""Width of a column in ems of its type, with some air for the ragged edge."""
NARROW, SLIM, WIDE = " .,:;'il", "()tfrjI/-", "mwMW%"
NARROW_EM, SLIM_EM, WIDE_EM, LETTER_EM, CAPITAL_EM = 0.28, 0.38, 0.9, 0.575, 0.64
"""About how wide the letters of the paper are."""
GAP_LINES, SECTION_LINES = 0.25, 1.7
"""The air below a line, and the height of a section's name."""


def _em(text: str) -> float:
    return sum(
        NARROW_EM
        if sign in NARROW
        else SLIM_EM
        if sign in SLIM
        else WIDE_EM
        if sign in WIDE
        else CAPITAL_EM
        if sign.isupper() or sign.isdigit()
        else LETTER_EM
        for sign in text
    )


@dataclass(frozen=True, kw_only=True)
class Piece:
    """One short line, and what stands before it where its section begins.

    name   of the section, "" where it goes on
    total  state of the whole section, beside its name
    state  of this line, "" where it was said already or nothing is assessed
    """

    name: str
    total: str
    state: str
    line: Mapping[str, str]

    @property
    def lines(self) -> float:
        """About how many lines of a column it takes."""
        line = self.line
        told = " ".join(
            part for part in (self.state, line["text"], line["basis"]) if part
        )
        return (
            ceil(_em(told) / LINE_EM)
            + GAP_LINES
            + (SECTION_LINES if self.name else 0.0)
        )


def pieces_of(safety: Mapping[str, Any]) -> list[Piece]:
    """The short lines by section as they are laid out."""
    totals = dict(safety["totals"])
    found: list[Piece] = []
    section = told = ""
    for line in safety["brief"]:
        begins = line["section"] != section
        section = line["section"]
        total = totals.get(section, "") if begins else ""
        before = total if begins else told
        found.append(
            Piece(
                name=section if begins else "",
                total=total,
                state=line["state"] if line["state"] != before else "",
                line=line,
            )
        )
        told = line["state"]
    return found


PLOT_LINES = 7.5
LABEL_LINES, LABEL_EM = 2.6, 19.0
"""Of a label at least, and the width beside its pictograms."""
SPLIT_LINES = 4.0
"""A section that goes on in the next column is worth this much unevenness."""


def in_two_columns(
    pieces: Sequence[Piece], *, labels: Sequence[Mapping[str, Any]], has_plot: bool
) -> tuple[list[Piece], list[Piece]]:
    """Pieces parted so that both columns end about level, best between two sections.

    The left column begins with the labels, the right one with the plot.
    """
    left, right = _labels_lines(labels), PLOT_LINES if has_plot else 0.0
    lines = [piece.lines for piece in pieces]

    def uneven(at: int) -> float:
        inside = at < len(pieces) and not pieces[at].name
        longest = max(left + sum(lines[:at]), right + sum(lines[at:]))
        return longest + (SPLIT_LINES if inside else 0.0)

    at = min(range(len(pieces) + 1), key=uneven)
    return list(pieces[:at]), list(pieces[at:])


def _labels_lines(labels: Sequence[Mapping[str, Any]]) -> float:
    """How high the labels stand: one with its statements, or several above theirs."""
    said = {tuple(each) for label in labels for each in label["hazards"]}
    em = _em(" · ".join(f"{code} {text}" for code, text in said))
    if len(labels) == 1:
        return max(LABEL_LINES, ceil((em + 6) / LABEL_EM))
    return len(labels) * LABEL_LINES + ceil(em / LINE_EM)
