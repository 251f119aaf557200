"""The lines of a block in few words, as paper has room for them (pure).

Every line keeps its sentence, basis and source in full on the order's page and in the
facts; here it is said shortly, and lines that differ in a name alone are said once.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache

from mixing.safety.people import GENERAL
from mixing.safety.states import SafetyLine, State
from mixing.tables import table
from shopapp.say import Say

LEFT_TO_THE_PAGE = frozenset({"people:posture"})
"""Lines of the order's page that its paper has no room for."""

UNMARKED = (
    GENERAL,
    "interval: shop setting, common practice without published source",
)
"""Sources that a line on paper does not name: good practice."""
TEXT_OF_ALL = "29 CFR "
"""Named below the block, not in each source."""
_PARAGRAPHS = "1910.106"


@cache
def short_wording(kind: str) -> Mapping[str, str]:
    """A long text and how paper says it; any other is said as it is.

        rows of data/short_wording.csv

    kind     "sentence", "basis", "source" or "need"
    Not for: the order's page and the facts: they keep the long text.
    Source:  own wording

    >>> short_wording("source")["CDC ventilation page"]
    'CDC'
    """
    rows = (row for row in table("short_wording") if row["kind"] == kind)
    return {row["long"]: row["short"] for row in rows}


@dataclass(frozen=True, kw_only=True)
class BriefLine:
    """A line, or several alike, in few words; source "" where the next line has it."""

    section: str
    state: State | None
    sentence: Say
    basis: Say | None
    source: str


def brief_lines(
    lines: Sequence[SafetyLine], *, headed: Iterable[str] = (), rules: str = ""
) -> tuple[BriefLine, ...]:
    """Lines as paper says them, in their order, each section the gravest state first.

        lines of one section and state that differ in a name alone become one

    lines   of a block
    headed  keys of lines that stand elsewhere on the paper already
    rules   the set named below the block; a line that goes by another says so
    Not for: the facts: they keep every line in full.
    Source:  none, words only

    >>> brief_lines([])
    ()
    """
    left_out = LEFT_TO_THE_PAGE | set(headed)
    chosen = [x for x in lines if x.key not in left_out and not _limits_nothing(x)]
    sections = list(dict.fromkeys(line.section for line in chosen))
    ordered = [
        line
        for section in sections
        for state in _GRAVEST_FIRST
        for line in _by_source(
            [x for x in chosen if (x.section, x.state) == (section, state)]
        )
    ]
    said = [_short(line, rules=rules) for line in ordered]
    return tuple(_each_basis_once(_sources_once(_together(said))))


_GRAVEST_FIRST = (State.OVER, State.NOT_ASSESSED, State.WATCH, State.OK, None)


def _by_source(lines: Sequence[SafetyLine]) -> list[SafetyLine]:
    """Lines of one source beside each other, else in their order."""
    sources = [line.source for line in lines]
    return sorted(lines, key=lambda line: sources.index(line.source))


def brief_need(sentence: Say) -> Say:
    """What to enter, in few words."""
    text = sentence.text
    return Say(short_wording("need").get(text, text), sentence.params)


def _limits_nothing(line: SafetyLine) -> bool:
    """A container of a liquid that does not burn has no size to hold."""
    return line.key.startswith("size:") and line.state is State.OK and not line.rules


def _short(line: SafetyLine, *, rules: str) -> BriefLine:
    basis = line.basis
    told = short_wording("basis").get(basis.text, basis.text) if basis else ""
    text = line.sentence.text
    source = _short_source(line.source)
    if line.rules and rules and line.rules != rules:
        source = f"{source}, {line.rules}"
    return BriefLine(
        section=line.section,
        state=line.state,
        sentence=Say(short_wording("sentence").get(text, text), line.sentence.params),
        basis=Say(told.removesuffix("."), basis.params) if basis and told else None,
        # Where nothing was assessed there is nothing to have a source.
        source="" if line.state is State.NOT_ASSESSED else source,
    )


def _short_source(source: str) -> str:
    if source in UNMARKED:
        return ""
    short = short_wording("source").get(source, source.partition(";")[0])
    return short.removeprefix(TEXT_OF_ALL)


def _together(lines: Sequence[BriefLine]) -> Iterator[BriefLine]:
    """Lines that differ in their name alone as one with all the names."""
    found: dict[object, BriefLine] = {}
    names: dict[object, list[str]] = {}
    for at, line in enumerate(lines):
        params = dict(line.sentence.params)
        name = params.pop("name", None)
        shown = set(params) & _names_in(line.sentence.text)
        alike: object = at
        if name is not None:
            rest = tuple((key, str(params[key])) for key in sorted(shown))
            told = line.sentence.text, rest, str(line.basis)
            alike = (line.section, line.state, *told, line.source)
        found.setdefault(alike, line)
        names.setdefault(alike, []).append(str(name))
    for alike, line in found.items():
        together = ", ".join(dict.fromkeys(names[alike]))
        params = dict(line.sentence.params)
        if "name" in params:
            params["name"] = together
        yield replace(line, sentence=Say(line.sentence.text, tuple(params.items())))


def _names_in(text: str) -> set[str]:
    return {part.partition("}")[0] for part in text.split("{")[1:]}


def _sources_once(lines: Iterable[BriefLine]) -> Iterator[BriefLine]:
    """A source after the last of the lines that share it; paragraphs of one text in
    one list."""
    held: list[str] = []
    known = list(lines)
    for line, after in zip(known, [*known[1:], None], strict=False):
        if line.source and line.source not in held:
            held.append(line.source)
        goes_on = (
            after is not None
            and after.section == line.section
            and (after.source == line.source or _are_paragraphs(line, after))
        )
        if goes_on:
            yield replace(line, source="")
            continue
        yield replace(line, source=_listed(held))
        held = []


def _are_paragraphs(one: BriefLine, other: BriefLine) -> bool:
    return one.state is None and all(
        line.source.startswith(_PARAGRAPHS) for line in (one, other)
    )


def _listed(sources: Sequence[str]) -> str:
    """ "1910.106(d)(3)(ii), (e)(6)(ii)": the text named once, as deep as it parts."""
    if len(sources) < 2:
        return "".join(sources)
    parts = [each.removeprefix(_PARAGRAPHS).split(")")[:2] for each in sources]
    paragraphs = sorted({")".join([*each, ""]).removesuffix("))") for each in parts})
    return _PARAGRAPHS + ", ".join(paragraphs)


def _each_basis_once(lines: Iterable[BriefLine]) -> Iterator[BriefLine]:
    said: set[str] = set()
    for line in lines:
        yield replace(line, basis=None) if str(line.basis) in said else line
        said.add(str(line.basis))
