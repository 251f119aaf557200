"""Lines, rings and text that fits, for the cut list drawing (pure)."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from html import escape

from jobs.nesting.rows import Row

PAGE = 1000.0
"""Width of every drawing in its own units; the page scales it."""
FONT = 19.0
SMALL = 15.0
TINY, TINIEST = 13.0, 9.0
"""For a long thin blank's name, and for the letter of a very small one."""
ROOMY, TIGHT = (10.0, 8.0), (4.0, 2.0)
"""Free space beside and above a text."""
RADIUS = 10.5
MARGIN_LEFT, MARGIN_TOP, MARGIN_RIGHT, MARGIN_BOTTOM = 66.0, 36.0, 24.0, 62.0
LEADING = 1.25
TEXT_WIDTH = 0.58
"""Mean width of a letter in parts of the font size, on the safe side."""

Box = tuple[float, float, float, float]


@dataclass
class Pen:
    """Collects SVG elements and remembers where text and numbers stand."""

    scale: float
    row: Row
    top: float
    parts: list[str] = field(default_factory=list)
    busy: list[Box] = field(default_factory=list)

    def px(self, along_mm: float) -> float:
        return MARGIN_LEFT + (along_mm - self.row.start) * self.scale

    def py(self, across_mm: float) -> float:
        return self.top + across_mm * self.scale

    def rect(self, box: Box, kind: str, extra: str) -> None:
        x1, y1, x2, y2 = box
        self.parts.append(
            f'<rect class="cutlist-{kind}" x="{x1:.1f}" y="{y1:.1f}" '
            f'width="{x2 - x1:.1f}" height="{y2 - y1:.1f}" {extra}/>'
        )

    def line(self, box: Box, kind: str, width: float, extra: str = "") -> None:
        x1, y1, x2, y2 = box
        self.parts.append(
            f'<line class="cutlist-{kind}" x1="{x1:.1f}" y1="{y1:.1f}" '
            f'x2="{x2:.1f}" y2="{y2:.1f}" stroke="currentColor" '
            f'stroke-width="{width:g}"{extra}/>'
        )

    def path(self, points: Sequence[Box], kind: str, extra: str) -> None:
        """Lines that need not meet."""
        drawn = "".join(f"M{a:.1f} {b:.1f}L{c:.1f} {d:.1f}" for a, b, c, d in points)
        self.parts.append(
            f'<path class="cutlist-{kind}" d="{drawn}" fill="none" '
            f'stroke="currentColor" {extra}/>'
        )

    def text(
        self, x: float, y: float, text: str, *, size: float = FONT, upright: bool = True
    ) -> None:
        """Centred on (x, y); not upright: read from the right-hand side."""
        turn = "" if upright else f' transform="rotate(-90 {x:.1f} {y:.1f})"'
        y += size * 0.35
        self.parts.append(
            f'<text class="cutlist-text" x="{x:.1f}" y="{y:.1f}" '
            f'font-size="{size:g}" text-anchor="middle" fill="currentColor"{turn}>'
            f"{escape(text)}</text>"
        )


def write(
    pen: Pen, box: Box, *, name: str, size: str, turned: str, letter: str
) -> None:
    """The fullest text that fits, level if it can be, else turned."""
    x1, y1, x2, y2 = box
    choices = [
        ([name, turned], FONT, ROOMY),
        ([*_wrapped(name), turned], FONT, ROOMY),
        ([name, turned], SMALL, ROOMY),
        ([*_wrapped(name), turned], SMALL, ROOMY),
        ([*_wrapped(name), size], SMALL, ROOMY),
        ([name], FONT, ROOMY),
        (_wrapped(name), SMALL, ROOMY),
        ([name], TINY, TIGHT),
        ([letter or name], FONT, ROOMY),
        ([letter], SMALL, TIGHT),
        ([letter], TINY, TIGHT),
        ([letter], TINIEST, (0.0, 0.0)),
    ]
    for lines, font, (beside, above) in choices:
        long = max(len(line) for line in lines) * font * TEXT_WIDTH + beside
        spread = LEADING if len(lines) > 1 else 1.0
        tall = len(lines) * font * spread + above
        for upright in (True, False):
            room = (x2 - x1, y2 - y1) if upright else (y2 - y1, x2 - x1)
            if lines != [""] and long <= room[0] and tall <= room[1]:
                middle = (x1 + x2) / 2, (y1 + y2) / 2
                _lines(pen, middle, lines, font=font, upright=upright)
                half = (long / 2, tall / 2) if upright else (tall / 2, long / 2)
                low = middle[0] - half[0], middle[1] - half[1]
                pen.busy.append((*low, middle[0] + half[0], middle[1] + half[1]))
                return


def _lines(
    pen: Pen,
    middle: tuple[float, float],
    lines: Sequence[str],
    *,
    font: float,
    upright: bool,
) -> None:
    for at, line in enumerate(lines):
        shift = (at - (len(lines) - 1) / 2) * font * LEADING
        dx, dy = (0.0, shift) if upright else (shift, 0.0)
        pen.text(middle[0] + dx, middle[1] + dy, line, size=font, upright=upright)


def _wrapped(name: str) -> list[str]:
    """A name on two lines, parted where they come out most alike."""
    words = name.split()
    if len(words) < 2:
        return [name]
    parts = [
        [" ".join(words[:at]), " ".join(words[at:])] for at in range(1, len(words))
    ]
    return min(parts, key=lambda part: max(len(line) for line in part))
