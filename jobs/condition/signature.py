"""A signature drawn with a finger: read, looked at, kept as a drawing (pure)."""

from __future__ import annotations

import json
import math
from collections.abc import Iterable, Sequence

from shopapp.say import Say, say

WIDE, HIGH = 600, 200
"""The field that is signed in, in its own units."""
MOST_POINTS = 6000
LEAST_INK = 120
"""A line shorter than this is a dot or a slip of the finger; ours."""
LEAST_WIDE = 40
"""Narrower than this is no name; ours."""

Point = tuple[int, int]
Strokes = tuple[tuple[Point, ...], ...]

NOTHING_DRAWN = say("Nothing is signed yet. Sign in the field with a finger.")
NOT_A_SIGNATURE = say("That is too short for a signature. Sign once more.")
NOT_READ = say("The signature did not come through. Sign once more.")


def read_strokes(text: str) -> Strokes | None:
    """The strokes as the page sends them, or None where they make no sense.

    text  JSON: a list of strokes, each a list of [x, y] in units of the field

    >>> read_strokes("[[[10, 20], [30.4, 25]]]")
    (((10, 20), (30, 25)),)
    """
    if not text.strip():
        return ()
    try:
        sent = json.loads(text)
        strokes = tuple(tuple(_point(p) for p in stroke) for stroke in sent)
    except (ValueError, TypeError):
        return None
    if sum(len(stroke) for stroke in strokes) > MOST_POINTS:
        return None
    return strokes


def _point(sent: Sequence[float]) -> Point:
    x, y = sent
    if not (math.isfinite(x) and math.isfinite(y)):
        raise ValueError("no point")
    return min(max(round(x), 0), WIDE), min(max(round(y), 0), HIGH)


def signature_problem(strokes: Strokes | None) -> Say | None:
    """Why this is no signature, or None.

        ink = sum of the distances between following points of each stroke

    >>> str(signature_problem(()))
    'Nothing is signed yet. Sign in the field with a finger.'
    """
    if strokes is None:
        return NOT_READ
    points = [point for stroke in strokes for point in stroke]
    if len(points) < 2:
        return NOTHING_DRAWN
    wide = max(x for x, _ in points) - min(x for x, _ in points)
    if _ink(strokes) < LEAST_INK or wide < LEAST_WIDE:
        return NOT_A_SIGNATURE
    return None


def _ink(strokes: Strokes) -> float:
    return sum(
        math.dist(one, other)
        for stroke in strokes
        for one, other in zip(stroke, stroke[1:], strict=False)
    )


def signature_svg(strokes: Iterable[Iterable[Point]]) -> str:
    """The signature as a drawing, black on nothing."""
    lines = "".join(
        f'<polyline points="{" ".join(f"{x},{y}" for x, y in stroke)}"/>'
        for stroke in strokes
    )
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDE} {HIGH}" '
        'fill="none" stroke="#111" stroke-width="4" stroke-linecap="round" '
        f'stroke-linejoin="round">{lines}</svg>'
    )
