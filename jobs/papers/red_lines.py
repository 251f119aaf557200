"""Red lines: what nobody may overlook on this car (pure)."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from shopapp.say import Say, say


@dataclass(frozen=True, kw_only=True)
class AgreedMark:
    """A mark on the paint and whether the customer has agreed to it.

    is_asked  whether the customer is asked about it at all
    """

    panel: str
    kind: str
    size_mm: int | None
    is_agreed: bool
    is_asked: bool = True


@dataclass(frozen=True, kw_only=True)
class RedLine:
    """One red line: its word, and what it says."""

    word: Say
    text: Say


_FINISHES = {
    "matte": (
        say("Matte paint"),
        say("No polish, no wax, no rubbing; a shiny spot stays."),
    ),
    "tri_coat": (
        say("Tri-coat paint"),
        say("It cannot be touched up unseen: no blade on the paint."),
    ),
    "tinted": (
        say("Tinted clear coat"),
        say("Correction takes colour off: ask before any polish."),
    ),
}


def red_lines(
    *,
    notes: str,
    paint_history: str,
    finish: str,
    film_is_matte: bool,
    film_is_directional: bool,
    marks: Iterable[AgreedMark],
) -> tuple[RedLine, ...]:
    """The red lines of an order, the car's own notes first.

    notes          of the vehicle: sensors, coating, wax, whatever was written
    paint_history  of the booking: repaints, old film
    finish         of the paint, a code of the vehicle
    Source: common practice, no published source.
    """
    lines = []
    if notes.strip():
        lines.append(RedLine(word=say("Car"), text=_plain(notes)))
    if paint_history.strip():
        lines.append(RedLine(word=say("Paint"), text=_plain(paint_history)))
    if finish in _FINISHES:
        word, text = _FINISHES[finish]
        lines.append(RedLine(word=word, text=text))
    if film_is_matte:
        text = say("No wax, no polish; wipe in one direction.")
        lines.append(RedLine(word=say("Matte film"), text=text))
    if film_is_directional:
        text = say("All panels run the same way off the roll: do not turn one.")
        lines.append(RedLine(word=say("Directional film"), text=text))
    return (*lines, *_marks(marks))


def _plain(text: str) -> Say:
    return say("{text}", text=" ".join(text.split()))


def _marks(marks: Iterable[AgreedMark]) -> tuple[RedLine, ...]:
    agreed: list[str] = []
    asked: list[str] = []
    kept: list[str] = []
    for mark in marks:
        unasked = asked if mark.is_asked else kept
        (agreed if mark.is_agreed else unasked).append(_mark(mark))
    lines = []
    if agreed:
        text = _plain("; ".join(agreed) + ".")
        lines.append(RedLine(word=say("Agreed marks"), text=text))
    if asked:
        text = _plain("; ".join(asked) + ".")
        lines.append(RedLine(word=say("Marks not agreed yet"), text=text))
    if kept:
        text = _plain("; ".join(kept) + ".")
        lines.append(RedLine(word=say("Marks found after the wash"), text=text))
    return tuple(lines)


def _mark(mark: AgreedMark) -> str:
    size = f" {mark.size_mm} mm" if mark.size_mm else ""
    return f"{mark.panel}: {mark.kind}{size}"
