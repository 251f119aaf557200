"""The four states of a safety line, and a missing input by name and page (pure)."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import StrEnum

from shopapp.figures import Figure
from shopapp.say import Say, say

WATCH_FROM_SHARE = 0.5
"""Half the limit, a common action level; a shop setting, not a legal figure."""

PAGE_BAYS = "shop settings, bays"
PAGE_STOCK = "stock shelf"
PAGE_LOCAL_CODE = "shop settings, local code"
PAGE_RULES = "shop settings, safety rules"
PAGE_ORDER = "work order, solutions"
PAGE_PREP = "work order, safety"
PAGE_FLASH = "recipes, flash points"


class State(StrEnum):
    """What an assessed line says; a word before it is a colour."""

    OK = "OK"
    WATCH = "WATCH"
    OVER = "OVER"
    NOT_ASSESSED = "NOT ASSESSED"


_RANK = {State.OK: 0, State.WATCH: 1, State.NOT_ASSESSED: 2, State.OVER: 3}


SECTION_TITLES: Mapping[str, Say] = {
    "liquid": say("Liquids"),
    "air": say("Air"),
    "heat": say("Hot tools"),
    "storage": say("Storage"),
    "waste": say("Waste"),
    "local": say("Local code"),
    "people": say("Protect yourself"),
    "aid": say("First aid"),
}
"""What a section of the block is called, on screen and on paper."""


@dataclass(frozen=True, kw_only=True)
class MissingInput:
    """Something nobody entered, named once, with the page where it goes."""

    key: str
    sentence: Say
    page: str
    lines: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True)
class SafetyLine:
    """One line of the block.

    key      "class:tack", "average", "size:C4"; stable, also in tests and templates
    section  "liquid", "air", "heat", "storage", "waste", "local", "people" or "aid"
    state    None: an instruction, there is nothing to assess
    missing  keys of the inputs that were not entered (see SafetyBlock.to_enter)
    rules    the set of rules that the line goes by, with its version; "" for none
    better_on  the page where a measured value goes in that would count instead
    """

    key: str
    section: str
    state: State | None
    sentence: Say
    figures: tuple[Figure, ...] = ()
    basis: Say | None = None
    source: str
    missing: tuple[str, ...] = ()
    rules: str = ""
    better_on: str = ""


def worst(states: Iterable[State | None]) -> State:
    """The state that a total shows: OVER, then NOT ASSESSED, WATCH, OK.

    No state at all is NOT ASSESSED: nothing looked at is never a pass.

    >>> str(worst([State.OK, State.NOT_ASSESSED, State.WATCH]))
    'NOT ASSESSED'
    """
    known = [state for state in states if state is not None]
    return max(known, key=_RANK.__getitem__, default=State.NOT_ASSESSED)


def state_of_share(*, share: float) -> State:
    """State of a value as a share of its limit; the limit itself is not over.

    >>> str(state_of_share(share=0.5)), str(state_of_share(share=0.51))
    ('OK', 'WATCH')
    """
    if not share <= 1 + 1e-9:
        return State.OVER  # Also a share that is no number: never a silent pass.
    return State.WATCH if share > WATCH_FROM_SHARE * (1 + 1e-9) else State.OK
