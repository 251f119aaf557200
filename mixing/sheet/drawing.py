"""The bottle with its fill lines, and curves, as inline SVG of our own (pure)."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from html import escape

LEFT, RIGHT, TOP, BOTTOM = 14.0, 104.0, 84.0, 300.0
"""The straight part of the bottle, in units of the drawing."""
WIDTH, HEIGHT = 300.0, 312.0
BARE_WIDTH = 118.0
"""Without its labels the bottle is drawn alone."""
LABEL_STEP = 19.0
THINNEST = 5.0
"""A layer of a few mL is still drawn."""


@dataclass(frozen=True, kw_only=True)
class Layer:
    """One pour in the bottle, from the bottom up.

    volume_ml  mL
    look       class of the stylesheet: "fill-a" water, "fill-b" alcohol, "fill-c" soap
    label      what stands beside its line, in the shop's units
    is_now     the pour that is being made
    """

    volume_ml: float
    look: str
    label: str
    is_now: bool = False


def bottle_svg(
    *, layers: Sequence[Layer], full_ml: float, title: str, is_bare: bool = False
) -> str:
    """A bottle filled layer by layer, with a line and a label at each level.

    full_ml  what the straight part holds, mL, above 0; a pour above it is drawn there
    is_bare  the bottle alone, beside pours that say the amounts
    """
    parts = []
    lines: list[tuple[float, Layer]] = []
    level = BOTTOM
    for layer in layers:
        height = max(THINNEST, layer.volume_ml / full_ml * (BOTTOM - TOP))
        top = max(TOP - 14, level - height)
        parts.append(
            f'<rect class="{layer.look}" x="{LEFT}" y="{top:.1f}" '
            f'width="{RIGHT - LEFT}" height="{level - top:.1f}"/>'
        )
        lines.append((top, layer))
        level = top
    parts.append(_wall())
    if not is_bare:
        parts += _labels(lines)
    width = BARE_WIDTH if is_bare else WIDTH
    return (
        f'<svg viewBox="0 0 {width:g} {HEIGHT:g}" role="img" '
        f'aria-label="{escape(title, quote=True)}">{"".join(parts)}</svg>'
    )


def _wall() -> str:
    middle = (LEFT + RIGHT) / 2
    return (
        f'<path class="wall" d="M{middle - 16} 30 V52 '
        f"C{middle - 16} 68 {LEFT} 62 {LEFT} {TOP} V{BOTTOM - 8} "
        f"q0 8 8 8 H{RIGHT - 8} q8 0 8 -8 V{TOP} "
        f'C{RIGHT} 62 {middle + 16} 68 {middle + 16} 52 V30 Z"/>'
        f'<path class="wall" d="M{middle - 20} 30 V14 H{middle + 36} l8 8 v6 '
        f'M{middle + 20} 30 V22 M{middle - 20} 30 H{middle + 20} l14 22"/>'
    )


def _labels(lines: Sequence[tuple[float, Layer]]) -> list[str]:
    """Lines at their level, labels beside them without overlapping."""
    parts = []
    lowest = HEIGHT - 6
    for top, layer in lines:
        at = min(top + 5, lowest)
        lowest = at - LABEL_STEP
        look = "mark now" if layer.is_now else "mark"
        parts.append(
            f'<path class="{look}" fill="none" '
            f'd="M{LEFT} {top:.1f} H{RIGHT + 10} L{RIGHT + 22} {at - 5:.1f}"/>'
            f'<text class="say" x="{RIGHT + 26}" y="{at:.1f}">'
            f"{escape(layer.label)}</text>"
        )
    return parts


@dataclass(frozen=True, kw_only=True)
class Axis:
    """How one axis of a curve is labelled: its ends and the words at them."""

    low: float
    high: float
    low_label: str
    high_label: str
    title: str


def curve_svg(
    *,
    points: Sequence[tuple[float, float, str]],
    across: Axis,
    up: Axis,
) -> str:
    """A curve of straight lines through labelled points, flat outside of them.

    points  (across, up, label), rising across
    """
    box = (56.0, 18.0, 440.0, 190.0)

    def place(x: float, y: float) -> tuple[float, float]:
        wide = max(across.high - across.low, 1e-9)
        high = max(up.high - up.low, 1e-9)
        return (
            box[0] + (x - across.low) / wide * (box[2] - box[0]),
            box[3] - (y - up.low) / high * (box[3] - box[1]),
        )

    ends = [
        (across.low, points[0][1]),
        *((x, y) for x, y, _ in points),
        (across.high, points[-1][1]),
    ]
    path = " L".join(f"{x:.1f} {y:.1f}" for x, y in (place(*end) for end in ends))
    parts = [
        f'<path class="cut" fill="none" d="M{box[0]} {box[1]} V{box[3]} H{box[2]}"/>',
        f'<path class="curve" fill="none" stroke="#000" d="M{path}"/>',
    ]
    for x, y, label in points:
        left, top = place(x, y)
        parts.append(
            f'<circle class="blank" cx="{left:.1f}" cy="{top:.1f}" r="4.5"/>'
            f'<text class="say" x="{left:.1f}" y="{top - 9:.1f}" '
            f'text-anchor="middle">{escape(label)}</text>'
        )
    parts += _axes(across, up, box)
    return (
        f'<svg viewBox="0 0 460 232" role="img" aria-label="'
        f'{escape(f"{up.title}, {across.title}", quote=True)}">{"".join(parts)}</svg>'
    )


def _axes(across: Axis, up: Axis, box: tuple[float, float, float, float]) -> list[str]:
    left, top, right, bottom = box

    def text(x: float, y: float, words: str, anchor: str) -> str:
        return (
            f'<text class="say" x="{x}" y="{y}" text-anchor="{anchor}">'
            f"{escape(words)}</text>"
        )

    return [
        text(left, bottom + 18, across.low_label, "start"),
        text(right, bottom + 18, across.high_label, "end"),
        text((left + right) / 2, bottom + 36, across.title, "middle"),
        text(left - 6, bottom, up.low_label, "end"),
        text(left - 6, top + 10, up.high_label, "end"),
    ]


SHAPES = {
    "circle": '<circle cx="12" cy="12" r="9.5"/>',
    "triangle": '<path d="M12 2.5 22 21 H2 Z"/>',
    "square": '<rect x="3" y="3" width="18" height="18"/>',
    "diamond": '<path d="M12 1.5 22 12 12 22.5 2 12 Z"/>',
    "hexagon": '<path d="M7 3 H17 L22 12 17 21 H7 L2 12 Z"/>',
    "cross": '<path d="M8.5 2.5h7v6h6v7h-6v6h-7v-6h-6v-7h6z"/>',
}


def shape_svg(*, shape: str, letter: str) -> str:
    """The shape of a kind with its letter in it; black on white prints in grey too."""
    return (
        f'<svg viewBox="0 0 24 24" width="24" height="24" role="img" '
        f'aria-label="{escape(letter)}"><g fill="none" stroke="currentColor" '
        f'stroke-width="2" stroke-linejoin="round">{SHAPES[shape]}</g>'
        f'<text x="12" y="{16.6 if shape != "triangle" else 18.4}" font-size="11" '
        f'font-weight="700" text-anchor="middle" fill="currentColor">'
        f"{escape(letter)}</text></svg>"
    )
