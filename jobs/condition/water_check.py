"""Does water stand on a clean panel as it should? A mist and a look (pure).

Common practice, no published source; a panel with a coating beads by design.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from jobs.condition.marks import ChecklistItem, ItemKind
from shopapp.say import Say, say

TIMED = "water_break_s"
"""An item that counts seconds instead; `low` is the shop's own time."""
_AS_ONCE_SHIPPED = (0.0, 60.0)

ANSWERS: Mapping[str, Say] = {
    "sheets": say("The water stands as a sheet: clean."),
    "patches": say("Patches stay dry: clean these again."),
    "beads": say(
        "Beads: wax or coating is left. Take it off, or film over it on purpose."
    ),
}


@dataclass(frozen=True, kw_only=True)
class Verdict:
    """Whether the panel passes, and the sentence beside the answer."""

    passes: bool
    sentence: Say


def right_way_up(item: ChecklistItem) -> ChecklistItem:
    """The timed item as it is meant: its minute is the least, not the most."""
    if item.code == TIMED and (item.low, item.high) == _AS_ONCE_SHIPPED:
        return replace(item, low=item.high, high=None)
    return item


def is_fact(item: ChecklistItem) -> bool:
    """Whether a number below its limit is kept: the water broke when it broke."""
    return item.code == TIMED


def verdict(item: ChecklistItem, *, text: str, number: float | None) -> Verdict | None:
    """What an answer means; None for an item that is no water check.

    a sheet passes;  seconds pass at or above the shop's own time
    """
    if item.kind is ItemKind.WATER and text in ANSWERS:
        return Verdict(passes=text == "sheets", sentence=ANSWERS[text])
    if item.code != TIMED or number is None or item.low is None:
        return None
    passes = number >= item.low
    pattern = (
        "Held {own} s or longer: clean."
        if passes
        else "Broke before {own} s: wax or coating may be left. Clean it again."
    )
    return Verdict(passes=passes, sentence=say(pattern, own=f"{item.low:g}"))
