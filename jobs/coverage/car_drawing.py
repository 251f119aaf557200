"""The drawn car with its panels, as SVG for screen and paper (pure).

It mirrors what was agreed and what is done; nothing is chosen on it. A state is a
letter and a pattern before it is a tone, so it survives a grey printer and a blind
spot for colour. Presentation attributes only: style sheets may override them by the
classes `panel`, the state, the edge, and `trim`.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import StrEnum
from html import escape

from jobs.coverage import car_shapes
from jobs.coverage.car_bodies import SHAPES, Shape
from jobs.coverage.catalogue import (
    PART_OF,
    Badge,
    Body,
    Edge,
    Panel,
    Seam,
    panel_name,
    panels_on,
)


class PanelState(StrEnum):
    """How far a panel of the coverage is."""

    CHOSEN = "chosen"
    READY = "ready"
    LAID = "laid"
    LOOKED = "looked"


@dataclass(frozen=True, kw_only=True)
class DrawnPanel:
    """One panel of the coverage as it is drawn."""

    panel: str
    state: PanelState = PanelState.CHOSEN
    edge: Edge = Edge.WRAPPED
    badge: Badge = Badge.NONE
    seam: Seam = Seam.NONE


WORDS: Mapping[str, str] = {
    "chosen": "chosen",
    "ready": "ready for film",
    "laid": "laid",
    "looked": "looked at",
    "wrapped": "edge wrapped",
    "cut_short": "edge cut short",
    "off": "badge off",
    "cut_round": "badge cut round",
    "seam": "seam",
    "relief": "relief",
    "front": "front",
    "right": "right side",
    "left": "left side",
}
"""Every word of the drawing; a translated table may take its place."""

INK, LINE, GLASS, PAPER = "#1f2a30", "#68757d", "#e3e9ec", "#ffffff"
TONES: Mapping[PanelState, str] = {
    PanelState.CHOSEN: "#ffffff",
    PanelState.READY: "#f2f6f7",
    PanelState.LAID: "#c3dadd",
    PanelState.LOOKED: "#8fbfc4",
}
LETTERS: Mapping[PanelState, str] = {
    PanelState.CHOSEN: "C",
    PanelState.READY: "R",
    PanelState.LAID: "L",
    PanelState.LOOKED: "✓",
}
EDGES: Mapping[Edge, str] = {
    Edge.WRAPPED: 'stroke-width="2.4"',
    Edge.CUT_SHORT: 'stroke-width="1.2" stroke-dasharray="4 2.5"',
}
MARKS: Mapping[str, str] = {"off": "B", "cut_round": "B", "seam": "S", "relief": "V"}
MIRROR = ' transform="scale(1,-1)"'
LEFT, TOP_MARGIN, LEGEND_H = -20.0, 16.0, 62.0


def car_svg(
    *,
    body: Body,
    panels: Iterable[DrawnPanel],
    title: str,
    with_legend: bool = True,
    prefix: str = "car",
    words: Mapping[str, str] = WORDS,
    names: Mapping[str, str] | None = None,
) -> str:
    """The car with its coverage as an SVG element.

    body         its panels are drawn
    panels       the coverage; panels that the body lacks are an error
    title        what a screen reader says first
    with_legend  explain the signs that are used, below the car
    prefix       start of every id, unique in the page
    words        words of the drawing, by key
    names        panels in another language, by their English name
    Raises ValueError for a panel that the body does not have.
    """
    shape, there = SHAPES[body], panels_on(body)
    chosen = {drawn.panel: drawn for drawn in panels}
    if strange := set(chosen) - {panel.code for panel in there}:
        raise ValueError(f"a {body} has no {', '.join(sorted(strange))}")
    half = car_shapes.SIDE_TOP + shape.roof_h + TOP_MARGIN
    height = 2 * half + (LEGEND_H if with_legend and chosen else 0)
    width = max(shape.tail, car_shapes.LENGTH) - LEFT + 20
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" class="car" role="img" '
        f'viewBox="{LEFT:g} {-half:g} {width:g} {height:g}" '
        f'font-family="sans-serif" aria-labelledby="{escape(prefix)}-title">',
        f'<title id="{escape(prefix)}-title">{escape(title)}</title>',
        _patterns(prefix),
        _trim(shape),
    ]
    # Parts come after the panels that they lie on.
    for panel in sorted(there, key=lambda panel: panel.kind in PART_OF):
        if not _is_covered(panel, chosen):
            name = panel_name(panel.code, body=body)
            name = names.get(name, name) if names else name
            parts.append(
                _panel(panel, shape, chosen.get(panel.code), name, prefix, words)
            )
    parts += [
        _signs(panel, shape, chosen[panel.code])
        for panel in there
        if panel.code in chosen
    ]
    parts.append(_directions(shape, words))
    if with_legend:
        parts.append(_legend(list(chosen.values()), half, prefix, words))
    return "".join([*parts, "</svg>"])


def _is_covered(panel: Panel, chosen: Mapping[str, DrawnPanel]) -> bool:
    """A part that is not chosen is not drawn over a whole panel that is."""
    if panel.code in chosen or panel.kind not in PART_OF:
        return False
    whole = PART_OF[panel.kind]
    return (f"{whole}_{panel.side}" if panel.side else whole) in chosen


def _patterns(prefix: str) -> str:
    """Chosen: sparse hatch. Ready: dots. Laid: dense hatch. Looked at: cross-hatch."""
    lines = {
        PanelState.CHOSEN: ("9", '<path d="M-2,11 L11,-2"/>'),
        PanelState.READY: ("7", '<circle cx="3.5" cy="3.5" r="0.9"/>'),
        PanelState.LAID: ("5", '<path d="M-2,7 L7,-2"/>'),
        PanelState.LOOKED: ("6", '<path d="M-2,8 L8,-2 M-2,-2 L8,8"/>'),
    }
    found = []
    for state, (size, mark) in lines.items():
        ink = f'fill="none" stroke="{INK}" stroke-width="0.6" stroke-opacity="0.45"'
        if state is PanelState.READY:
            ink = f'fill="{INK}" fill-opacity="0.55"'
        found.append(
            f'<pattern id="{escape(prefix)}-{state}" width="{size}" height="{size}" '
            f'patternUnits="userSpaceOnUse"><rect width="{size}" height="{size}" '
            f'fill="{TONES[state]}"/><g {ink}>{mark}</g></pattern>'
        )
    return f"<defs>{''.join(found)}</defs>"


def _paths(found: Iterable[str], attributes: str) -> str:
    return "".join(f'<path d="{d}"{attributes}/>' for d in found)


def _trim(shape: Shape) -> str:
    """Body, glass and wheels: what makes it a car."""
    above, beside = car_shapes.plan_trim(shape), car_shapes.side_trim(shape)
    body = f' fill="{PAPER}" stroke="{LINE}" stroke-width="1.4"'
    glass = f' fill="{GLASS}" stroke="{LINE}" stroke-width="0.8"'
    bed = f' fill="none" stroke="{LINE}" stroke-width="0.8"'
    parts = [_paths(above["body"], body), _paths(above["glass"], glass)]
    parts.append(_paths(above["bed"], bed))
    for mirror in ("", MIRROR):
        parts.append(_paths(above["glass_left"], glass + mirror))
        parts.append(_paths(beside["body"], body + mirror))
        parts.append(_paths(beside["wells"], f' fill="#b4bec4"{mirror}'))
        parts.append(_paths(beside["glass"], glass + mirror))
        parts += [
            _wheel(x, -y if mirror else y) for x, y in car_shapes.wheel_centres(shape)
        ]
    return f'<g class="trim" stroke-linejoin="round">{"".join(parts)}</g>'


def _wheel(x: float, y: float) -> str:
    ring = f'<circle cx="{x:g}" cy="{y:g}"'
    return (
        f'{ring} r="32" fill="#4a555c" stroke="{INK}" stroke-width="1"/>'
        f'{ring} r="21" fill="#dfe4e7" stroke="{INK}" stroke-width="0.8"/>'
        f'{ring} r="5" fill="#4a555c"/>'
    )


def _panel(
    panel: Panel,
    shape: Shape,
    drawn: DrawnPanel | None,
    name: str,
    prefix: str,
    words: Mapping[str, str],
) -> str:
    if drawn is None:
        is_part = panel.kind in PART_OF
        look = (
            f'class="panel" fill="{"none" if is_part else PAPER}" stroke="{LINE}" '
            f'stroke-width="{0.6 if is_part else 0.9}"'
            + (' stroke-dasharray="2 2"' if is_part else "")
        )
    else:
        look = (
            f'class="panel {drawn.state} {drawn.edge}" '
            f'fill="url(#{escape(prefix)}-{drawn.state})" stroke="{INK}" '
            f"{EDGES[drawn.edge]}"
        )
        name = ", ".join([name, *(words[key] for key in _keys(drawn))])
    mirror = MIRROR if panel.side == "right" else ""
    found = _paths(_shapes(panel, shape), mirror)
    if not panel.side:
        found += _paths(car_shapes.side(shape).get(panel.kind, ()), MIRROR)
    return (
        f'<g id="{escape(prefix)}-{panel.code}" {look} stroke-linejoin="round">'
        f"<title>{escape(name)}</title>{found}</g>"
    )


def _keys(drawn: DrawnPanel) -> list[str]:
    keys: list[str] = [drawn.state, drawn.edge]
    if drawn.badge is not Badge.NONE:
        keys.append(drawn.badge)
    if drawn.seam is not Seam.NONE:
        keys.append(drawn.seam)
    return keys


def _shapes(panel: Panel, shape: Shape) -> tuple[str, ...]:
    """Paths of a panel, seen from above and from its side."""
    above = car_shapes.plan_left(shape) if panel.side else car_shapes.plan_middle(shape)
    return above.get(panel.kind, ()) + car_shapes.side(shape).get(panel.kind, ())


def _label_at(panel: Panel, s: Shape) -> tuple[float, float] | None:
    """Where a panel's letter stands; small panels carry only their pattern."""
    d1, d2, d3 = s.doors
    door_y = car_shapes.SIDE_TOP + s.roof_h - 58
    lid = ((s.bed[1] + 4 if s.bed else s.glass) + s.lid) / 2 + 2
    places = {
        "front_bumper": (8.0, 0.0),
        "hood": ((s.cowl + 30) / 2 + 2, 0.0),
        "partial_hood": (56.0, 0.0),
        "roof": ((s.screen + s.roof) / 2 + 4, 0.0),
        "boot_lid": (lid, 0.0),
        "rear_bumper": ((s.lid + s.tail) / 2 + 6, 0.0),
        "front_fender": (s.wheels[0] + 34, car_shapes.SIDE_TOP + s.roof_h - 70),
        "partial_fender": (s.wheels[0] - 22, car_shapes.SIDE_TOP + s.roof_h - 69),
        "front_door": ((d1 + d2) / 2, door_y),
        "rear_door": ((d2 + d3) / 2 - 4, door_y),
        "quarter": (428.0, car_shapes.SIDE_TOP + s.roof_h - 74),
        "rocker": ((d1 + d3) / 2 - 12, car_shapes.SIDE_TOP + s.roof_h + 4 - 29),
        "mirror": (s.cowl + 22, 89.0),
    }
    place = places.get(panel.kind)
    if place is None:
        return None
    return (place[0], -place[1]) if panel.side == "right" else place


def _signs(panel: Panel, shape: Shape, drawn: DrawnPanel) -> str:
    place = _label_at(panel, shape)
    marks = [key for key in (drawn.badge, drawn.seam) if key in MARKS]
    if place is None:
        return ""
    x, y = place
    is_small = panel.kind in ("mirror", "rocker")
    letter = _letter(x, y, LETTERS[drawn.state], size=9 if is_small else 13)
    # A bumper seen from above is narrow: its marks stand along it.
    step = (0.0, 16.0) if panel.kind.endswith("bumper") else (16.0, 0.0)
    beside = [
        _mark(x + step[0] * number, y + step[1] * number, key)
        for number, key in enumerate(marks, start=1)
    ]
    return f'<g class="signs">{letter}{"".join(beside)}</g>'


def _letter(x: float, y: float, letter: str, *, size: float) -> str:
    radius = size * 0.66
    circle = (
        f'<circle cx="{x:g}" cy="{y:g}" r="{radius:g}" fill="{PAPER}" '
        f'stroke="{INK}" stroke-width="0.7"/>'
    )
    if letter == "✓":
        a, b = size * 0.3, size * 0.22
        return (
            f'{circle}<path d="M{x - a:g},{y:g} L{x - a / 4:g},{y + b:g} '
            f'L{x + a:g},{y - b:g}" fill="none" stroke="{INK}" stroke-width="1.6"/>'
        )
    return circle + _text(x, y + size * 0.35, letter, size=size, bold=True)


def _mark(x: float, y: float, key: str) -> str:
    """Badge off: struck through. Cut round: a broken ring. Seam S, relief V."""
    dash = ' stroke-dasharray="2.2 1.4"' if key == "cut_round" else ""
    sign = (
        f'<circle cx="{x:g}" cy="{y:g}" r="5.6" fill="{PAPER}" stroke="{INK}" '
        f'stroke-width="0.9"{dash}/>'
        + _text(x, y + 2.7, MARKS[key], size=7.6, bold=True)
    )
    if key == "off":
        sign += (
            f'<path d="M{x - 4:g},{y + 4:g} L{x + 4:g},{y - 4:g}" stroke="{INK}" '
            f'stroke-width="1.1"/>'
        )
    return sign


def _text(x: float, y: float, text: str, *, size: float, bold: bool = False) -> str:
    weight = ' font-weight="bold"' if bold else ""
    return (
        f'<text x="{x:g}" y="{y:g}" font-size="{size:g}" text-anchor="middle" '
        f'fill="{INK}"{weight}>{escape(text)}</text>'
    )


def _directions(shape: Shape, words: Mapping[str, str]) -> str:
    """Which way is the front, and which side is which."""
    y = car_shapes.SIDE_TOP + shape.roof_h - 122
    arrow = (
        f'<path d="M-2,{-y - 2:g} L-14,{-y - 2:g} M-9,{-y - 6:g} L-14,{-y - 2:g} '
        f'L-9,{-y + 2:g}" fill="none" stroke="{LINE}" stroke-width="1.2"/>'
    )
    side = f'<text x="{{x:g}}" y="{{y:g}}" font-size="9" fill="{LINE}">{{word}}</text>'
    return (
        f'<g class="directions">{arrow}'
        + side.format(x=2, y=-y + 1, word=escape(words["front"]))
        + side.format(x=-14, y=-y - 14, word=escape(words["right"]))
        + side.format(x=-14, y=y + 14, word=escape(words["left"]))
        + "</g>"
    )


def _legend(
    drawn: list[DrawnPanel], half: float, prefix: str, words: Mapping[str, str]
) -> str:
    """The signs that this drawing uses, each with its word."""
    used = {key for panel in drawn for key in _keys(panel)}
    rows = ([*PanelState], [*Edge], [*MARKS])
    parts = []
    for number, row in enumerate(rows):
        x, y = LEFT + 16, half + 6 + number * 19
        for key in row:
            if key in used:
                parts.append(_sample(x, y, key, prefix))
                parts.append(
                    f'<text x="{x + 20:g}" y="{y + 3.5:g}" font-size="10" '
                    f'fill="{INK}">{escape(words[key])}</text>'
                )
                x += 36 + 6 * len(words[key])
    return f'<g class="legend">{"".join(parts)}</g>'


def _sample(x: float, y: float, key: str, prefix: str) -> str:
    if key in MARKS:
        return _mark(x + 6, y, key)
    box = f'<rect x="{x - 6:g}" y="{y - 7:g}" width="22" height="14" stroke="{INK}"'
    if key in list(PanelState):
        state = PanelState(key)
        return (
            f'{box} fill="url(#{escape(prefix)}-{state})" stroke-width="0.8"/>'
            + _letter(x + 5, y, LETTERS[state], size=9)
        )
    return f'{box} fill="none" {EDGES[Edge(key)]}/>'
