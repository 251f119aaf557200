"""What a plan of cuts was made for, held against what is to be cut now (pure)."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum

from jobs.pulls.plan import PanelToCut
from shopapp.figures import Figure, given
from shopapp.say import Say, say

Key = tuple[str, str]
"""Order and panel."""


class Gone(StrEnum):
    """Why a panel waits for film no more."""

    STRUCK_OFF = "struck off"
    LAID = "laid"
    CUT = "cut"
    AWAY = "away"


GONE: Mapping[Gone, str] = {
    Gone.STRUCK_OFF: "Struck off since: {panels}.",
    Gone.LAID: "Laid since: {panels}.",
    Gone.CUT: "Film was taken since for: {panels}.",
    Gone.AWAY: "Not on the order any more: {panels}.",
}


@dataclass(frozen=True, kw_only=True)
class ToCut:
    """The panels that wait for film, and why others do not."""

    panels: Sequence[PanelToCut]
    gone: Mapping[Key, Gone]


def pull_changes(planned: Iterable[PanelToCut], *, now: ToCut) -> list[Say]:
    """What became of the panels since they were planned; empty while all is as it was.

    planned  the panels that the plan was made for, those that found no film included
    """
    was = {(panel.group, panel.panel): panel for panel in planned}
    waiting = {(panel.group, panel.panel): panel for panel in now.panels}
    said = []
    for why, sentence in GONE.items():
        names = [
            panel.name
            for key, panel in was.items()
            if key not in waiting and now.gone.get(key, Gone.AWAY) is why
        ]
        if names:
            said.append(say(sentence, panels=" · ".join(names)))
    if added := [panel.name for key, panel in waiting.items() if key not in was]:
        said.append(say("Not in this plan: {panels}.", panels=" · ".join(added)))
    both = [(was[key], waiting[key]) for key in was if key in waiting]
    return said + [change for pair in both for change in _changes_of(*pair)]


def _changes_of(was: PanelToCut, now: PanelToCut) -> list[Say]:
    if _size(was) != _size(now):
        return [
            say(
                "{panel}: {length} × {width} now, planned {was_length} × {was_width}.",
                panel=now.name,
                length=_mm(_size(now)[0]),
                width=_mm(_size(now)[1]),
                was_length=_mm(_size(was)[0]),
                was_width=_mm(_size(was)[1]),
            )
        ]
    if was.by_hand != now.by_hand:
        return [say("{panel}: cut by hand or pre-cut was changed.", panel=now.name)]
    return []


def _size(panel: PanelToCut) -> tuple[int, int]:
    return int(panel.blank.length_mm.value), int(panel.blank.width_mm.value)


def _mm(length_mm: int) -> Figure:
    return given(length_mm, "mm", "blank")


def film_changes(
    *, planned_code: str, may_turn: bool, film: str, code: str, is_directional: bool
) -> list[Say]:
    """Whether the plan is for another film than the order's."""
    if planned_code != code:
        return [
            say(
                "The order is for {film} now, the plan for {code}.",
                film=film,
                code=planned_code,
            )
        ]
    if may_turn and is_directional:
        return [say("{film} must not be turned any more.", film=film)]
    return []
