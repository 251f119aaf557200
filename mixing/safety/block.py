"""The safety block of a work order: the front door of this room (pure).

`safety_block` turns one request into lines, each with state, sentence, figures, basis
and source. What nobody entered is named once in `to_enter`, with its page; the lines
that hang on it are NOT ASSESSED, and no total over them reads OK.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from mixing.safety.air_inputs import AirFacts, CurvePoint
from mixing.safety.air_lines import air_lines
from mixing.safety.duty_lines import duty_lines
from mixing.safety.fire_line import fire_line, surface_lines
from mixing.safety.head import Head, head_of, one_line_a_cause
from mixing.safety.liquid_lines import BottleLabel, bottle_label, liquid_lines
from mixing.safety.needs import may_release, missing_inputs
from mixing.safety.people import CAVEAT, heat_lines, people_lines
from mixing.safety.request import SafetyRequest
from mixing.safety.sources import named_openly
from mixing.safety.states import (
    PAGE_STOCK,
    MissingInput,
    SafetyLine,
    State,
    worst,
)
from mixing.safety.stock_check import stock_check
from mixing.safety.waste_lines import local_lines, waste_lines
from shopapp.figures import Figure
from shopapp.say import Say, say

SECTIONS = ("liquid", "air", "heat", "storage", "waste", "local", "people", "aid")


@dataclass(frozen=True, kw_only=True)
class SafetyBlock:
    """Everything that the work order prints on safety.

    state      the whole block
    totals     (section, state) in print order; sections of instructions have none
    fire_line  the one line for page one, with the worst state of air and fire
    head       the one line that the block opens with
    shown      the lines as they are read: those that wait for one entry are one line
    lines      all lines in print order, sections as in SECTIONS
    to_enter   each missing input once: what, on which page, and the lines it holds up
    labels     of the solutions whose strength and soap class are known
    wait       minutes from the last alcohol spray to hot tools, or None
    curve      average vapour over the job and two hours more; () where not known
    caveat     printed last
    """

    state: State
    totals: tuple[tuple[str, State], ...]
    fire_line: SafetyLine
    head: Head
    shown: tuple[SafetyLine, ...]
    lines: tuple[SafetyLine, ...]
    to_enter: tuple[MissingInput, ...]
    labels: tuple[BottleLabel, ...]
    wait: Figure | None
    curve: tuple[CurvePoint, ...]
    caveat: Say

    @property
    def is_wait_unknown(self) -> bool:
        """Alcohol is, or may be, on the job and nobody can say how long to wait."""
        return any(
            line.key == "wait" and line.state is State.NOT_ASSESSED
            for line in self.lines
        )

    def line(self, key: str) -> SafetyLine:
        """The line of that key; LookupError when the block has none."""
        for line in (self.fire_line, *self.lines):
            if line.key == key:
                return line
        raise LookupError(f"the block has no line {key!r}")


def safety_block(request: SafetyRequest) -> SafetyBlock:
    """The safety block of one job.

        OK up to 50 % of a limit, WATCH up to the limit, OVER beyond it or from 10 %
        of the LEL, NOT ASSESSED where an input is missing; a total shows the worst

    request   the job, its bay, the stock and the local names
    Not for:  a measurement or a legal conclusion; the data sheet, the local code and
              licensed practice decide.
    Source:   each line names its own
    """
    needs = list(missing_inputs(request))
    missing = frozenset(need.key for need in needs)
    has_solvent = may_release(request)
    facts = AirFacts(request, missing)
    air = air_lines(facts) if has_solvent else (_no_solvent(),)
    wait = facts.wait() if has_solvent else None
    storage, stock_needs = _storage(request)
    lines = (
        *liquid_lines(request, missing),
        *air,
        *surface_lines(request),
        *heat_lines(has_solvent=has_solvent),
        *storage,
        *duty_lines(
            stock=request.stock, sprays=has_solvent, rules=request.rules.storage
        ),
        *waste_lines(request),
        *local_lines(request, missing),
        *people_lines(has_solvent=has_solvent, has_hot_tools=request.has_hot_tools),
    )
    is_example = request.rules.is_example
    lines = named_openly(
        sorted(lines, key=lambda line: SECTIONS.index(line.section)),
        is_example=is_example,
    )
    (fire,) = named_openly(
        [fire_line(request, lines, wait, has_solvent)], is_example=is_example
    )
    to_enter = _used((*needs, *stock_needs), (fire, *lines))
    return SafetyBlock(
        state=worst(line.state for line in lines),
        totals=_totals(lines),
        fire_line=fire,
        lines=lines,
        to_enter=to_enter,
        head=head_of(lines, totals=_totals(lines)),
        shown=one_line_a_cause(lines, to_enter),
        labels=tuple(
            label
            for solution in request.solutions
            if (label := bottle_label(solution, request.rules)) is not None
        ),
        wait=wait,
        curve=facts.curve() if has_solvent else (),
        caveat=CAVEAT,
    )


def _totals(lines: Sequence[SafetyLine]) -> tuple[tuple[str, State], ...]:
    found = []
    for section in SECTIONS:
        states = [line.state for line in lines if line.section == section]
        if any(state is not None for state in states):
            found.append((section, worst(states)))
    return tuple(found)


def _used(
    needs: Sequence[MissingInput], lines: Sequence[SafetyLine]
) -> tuple[MissingInput, ...]:
    """The missing inputs that hold up a line, each with those lines, by page."""
    held = [
        replace(need, lines=tuple(x.key for x in lines if need.key in x.missing))
        for need in needs
    ]
    pages = [need.page for need in needs]
    return tuple(
        sorted(
            (need for need in held if need.lines),
            key=lambda need: pages.index(need.page),
        )
    )


def _storage(
    request: SafetyRequest,
) -> tuple[tuple[SafetyLine, ...], tuple[MissingInput, ...]]:
    if request.stock is None:
        line = SafetyLine(
            key="stock",
            section="storage",
            state=State.NOT_ASSESSED,
            sentence=say("Stock against limits: not assessed."),
            source="29 CFR 1910.106(d) and (e)",
            missing=("stock.list",),
        )
        said = say("Containers in stock, or that there are none.")
        need = MissingInput(key="stock.list", sentence=said, page=PAGE_STOCK)
        return (line,), (need,)
    found = stock_check(containers=request.stock, rules=request.rules.storage)
    return found.lines, found.to_enter


def _no_solvent() -> SafetyLine:
    return SafetyLine(
        key="air",
        section="air",
        state=State.OK,
        sentence=say("No solvent in this job's solutions and prep chemicals."),
        basis=say("Strengths and prep chemicals as entered."),
        source="mixing sheet and data sheets",
    )
