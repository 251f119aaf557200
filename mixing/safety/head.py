"""How the block opens: the states, what to do, one line for one cause (pure)."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from mixing.safety.states import MissingInput, SafetyLine, State
from shopapp.say import Say, say

GRAVEST_FIRST = (State.OVER, State.NOT_ASSESSED, State.WATCH, State.OK)


@dataclass(frozen=True, kw_only=True)
class Head:
    """The first thing read.

    states  (state, sections), the gravest first
    do      what to do about it, the gravest first; () where all is well
    """

    states: tuple[tuple[State, tuple[str, ...]], ...]
    do: tuple[Say, ...]


_OVER = {
    "peak": say(
        "Do not wipe or spray that much at once: less, or over more minutes, exhaust "
        "on. Nothing that lights or sparks in the bay, people out until it is aired."
    ),
    "sealed": say("No wipe or spray in this bay before its exhaust is measured."),
    "short": say(
        "Use less at once or over more minutes, exhaust on; leave the bay for a "
        "quarter of an hour after the wipe."
    ),
    "fire_need": say("More exhaust or less at once, before the next wipe or spray."),
    "average": say("Less alcohol in this bay today, or more exhaust."),
    "storage": say("Move stock until the lines of storage are within their limits."),
}
_ELSE = say("See the lines marked OVER.")
_NOT_ASSESSED = say(
    "Not assessed is no pass: enter what is named below, and take the worst case "
    "until then."
)


def head_of(
    lines: Sequence[SafetyLine], *, totals: Sequence[tuple[str, State]]
) -> Head:
    """The states of a block's sections and what to do about them."""
    states = tuple(
        (state, sections)
        for state in GRAVEST_FIRST
        if (sections := tuple(name for name, found in totals if found is state))
    )
    over = [line for line in lines if line.state is State.OVER]
    keys = [key for key in _OVER if any(key in (x.key, x.section) for x in over)]
    # Of the air the gravest alone: its remedy cures the others.
    of_air = [key for key in keys if key != "storage"][:1]
    do = [_OVER[key] for key in (*of_air, *(key for key in keys if key == "storage"))]
    if over and not do:
        do = [_ELSE]
    # The warm panel is the one WATCH that asks for something to be done at once.
    do += [line.sentence for line in lines if line.key == "surface"]
    if any(state is State.NOT_ASSESSED for state, _sections in states):
        do.append(_NOT_ASSESSED)
    return Head(states=states, do=tuple(do))


def one_line_a_cause(
    lines: Sequence[SafetyLine], needs: Sequence[MissingInput]
) -> tuple[SafetyLine, ...]:
    """The lines, those on the air that nobody can say yet as a single one."""
    waiting = [
        line
        for line in lines
        if line.section == "air" and line.state is State.NOT_ASSESSED
    ]
    if len(waiting) < 2:
        return tuple(lines)
    together = _waiting_line(waiting, needs)
    first = lines.index(waiting[0])
    kept = [line for line in lines[:first] if line not in waiting]
    return (*kept, together, *(x for x in lines[first:] if x not in waiting))


def _waiting_line(
    waiting: Sequence[SafetyLine], needs: Sequence[MissingInput]
) -> SafetyLine:
    keys = dict.fromkeys(key for line in waiting for key in line.missing)
    entries = [str(need.sentence).rstrip(".") for need in needs if need.key in keys]
    return SafetyLine(
        key="waiting:air",
        section="air",
        state=State.NOT_ASSESSED,
        sentence=say(
            "The air of this job is not assessed. To enter: {entries}.",
            entries="; ".join(entries),
        ),
        source=waiting[0].source,
        missing=tuple(keys),
    )
