"""What is filmed: panels, packages, and how each panel is finished (pure).

A panel's code is its kind and side ("front_door_left"), left and right as the driver
sees them. Times are defaults that the shop's own records replace.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import StrEnum
from functools import cache

from jobs.tables import Row, table
from shopapp.figures import Figure, Range, computed, formula
from shopapp.say import Say, say

PRECUT_LOW, PRECUT_HIGH = 0.5, 0.6
"""Pre-cut film takes this share of the hand-fitted time.

Common practice, no published source.
"""


class Body(StrEnum):
    """Kind of body; it decides which panels there are."""

    SEDAN = "sedan"
    HATCH = "hatch"
    ESTATE = "estate"
    COUPE = "coupe"
    SUV = "suv"
    VAN = "van"
    PICKUP = "pickup"


class Package(StrEnum):
    """What a customer orders."""

    PARTIAL_FRONT = "partial_front"
    FULL_FRONT = "full_front"
    TRACK = "track"
    FULL_VEHICLE = "full_vehicle"
    SINGLE_PANELS = "single_panels"


class Method(StrEnum):
    """How the film gets its outline."""

    HAND_FITTED = "hand_fitted"
    PRE_CUT = "pre_cut"


class Edge(StrEnum):
    """How the film ends at the panel's edge."""

    WRAPPED = "wrapped"
    CUT_SHORT = "cut_short"


class Badge(StrEnum):
    """What happens to a badge on the panel."""

    NONE = "none"
    OFF = "off"
    CUT_ROUND = "cut_round"


class Seam(StrEnum):
    """Whether the panel is laid in one piece."""

    NONE = "none"
    SEAM = "seam"
    RELIEF = "relief"


@dataclass(frozen=True, kw_only=True)
class Panel:
    """One panel of the default list.

    code          kind and side
    kind          what sizes and times are looked up by
    side          "left", "right" or ""
    name          as it is called on most bodies
    zone          "front", "side", "top" or "rear"
    is_gauged     painted metal on most cars: a paint gauge can read it
    bodies        bodies that have it
    edge          usual finish
    total_*_min   hand-fitted, one skilled installer
    precut_*_min  pre-cut, where practice names it, else None
    placing_*_min wet to anchored
    in_sections   laid in sections, so that no single placing takes that long
    """

    code: str
    kind: str
    side: str
    name: str
    zone: str
    is_gauged: bool
    bodies: frozenset[Body]
    edge: Edge
    total_low_min: float
    total_high_min: float
    precut_low_min: float | None
    precut_high_min: float | None
    placing_low_min: float
    placing_high_min: float
    in_sections: bool
    source: str


@dataclass(frozen=True, kw_only=True)
class PanelChoice:
    """What was agreed for one panel.

    seam_at  where the seam or relief goes, in the shop's words
    """

    panel: str
    method: Method = Method.HAND_FITTED
    edge: Edge = Edge.WRAPPED
    badge: Badge = Badge.NONE
    seam: Seam = Seam.NONE
    seam_at: str = ""


PART_OF: Mapping[str, str] = {
    "partial_hood": "hood",
    "partial_fender": "front_fender",
    "roof_edge": "roof",
    "door_edge_front": "front_door",
    "door_edge_rear": "rear_door",
    "rear_arch": "quarter",
    "loading_edge": "rear_bumper",
}
"""Kinds that lie on a larger one: only one of the two is filmed."""

_FRONT = ("front_bumper", "headlight", "hood", "front_fender", "mirror")

PACKAGE_KINDS: Mapping[Package, tuple[str, ...]] = {
    Package.PARTIAL_FRONT: (
        "front_bumper",
        "headlight",
        "partial_hood",
        "partial_fender",
        "mirror",
    ),
    Package.FULL_FRONT: _FRONT,
    Package.TRACK: (*_FRONT, "a_pillar", "roof_edge", "rocker", "rear_arch"),
    Package.FULL_VEHICLE: (
        *_FRONT,
        "a_pillar",
        "roof",
        "front_door",
        "handle_cup_front",
        "b_pillar",
        "rear_door",
        "handle_cup_rear",
        "rocker",
        "quarter",
        "boot_lid",
        "tail_light",
        "rear_bumper",
    ),
    Package.SINGLE_PANELS: (),
}
"""What each package covers.

Common practice, no published source; a shop edits its own.
"""

_NAMES_BY_BODY: Mapping[tuple[str, Body], str] = {
    ("boot_lid", Body.HATCH): "hatch",
    ("boot_lid", Body.ESTATE): "hatch",
    ("boot_lid", Body.SUV): "hatch",
    ("boot_lid", Body.VAN): "hatch",
    ("boot_lid", Body.PICKUP): "tailgate",
    ("quarter", Body.PICKUP): "bed side",
    ("rear_door", Body.VAN): "sliding door",
    ("front_door", Body.COUPE): "door",
    ("door_edge_front", Body.COUPE): "door edge",
    ("handle_cup_front", Body.COUPE): "handle cup",
}


@cache
def panels() -> Mapping[str, Panel]:
    """The default panels by code, in order from front to rear."""
    found = (
        _panel(row, side)
        for row in table("panels")
        for side in (("left", "right") if row["sided"] == "yes" else ("",))
    )
    return {panel.code: panel for panel in found}


def panels_on(body: Body) -> tuple[Panel, ...]:
    """The panels that a body has, from front to rear."""
    return tuple(panel for panel in panels().values() if body in panel.bodies)


def panel_name(code: str, *, body: Body) -> str:
    """What a panel is called on a body.

    Raises KeyError for an unknown code.

    >>> panel_name("boot_lid", body=Body.PICKUP)
    'tailgate'
    """
    panel = panels()[code]
    name = _NAMES_BY_BODY.get((panel.kind, body), panel.name)
    return f"{name}, {panel.side}" if panel.side else name


def package_panels(package: Package, *, body: Body) -> tuple[str, ...]:
    """Codes of the panels in a package on a body, from front to rear.

    >>> package_panels(Package.FULL_FRONT, body=Body.SEDAN)[:3]
    ('front_bumper', 'headlight_left', 'headlight_right')
    """
    kinds = PACKAGE_KINDS[package]
    return tuple(panel.code for panel in panels_on(body) if panel.kind in kinds)


def default_choices(
    package: Package, *, body: Body, method: Method
) -> tuple[PanelChoice, ...]:
    """A package's panels, each with its usual edge: where the talk begins."""
    return tuple(
        PanelChoice(panel=code, method=method, edge=panels()[code].edge)
        for code in package_panels(package, body=body)
    )


def coverage_problems(choices: Iterable[PanelChoice], *, body: Body) -> tuple[Say, ...]:
    """Why a coverage cannot be booked as it stands; empty means it can."""
    codes = [choice.panel for choice in choices]
    if not codes:
        return (say("Choose at least one panel."),)
    problems = []
    for code in dict.fromkeys(codes):
        if code not in panels():
            problems.append(say("There is no panel “{panel}”.", panel=code))
            continue
        panel, name = panels()[code], panel_name(code, body=body)
        if body not in panel.bodies:
            problems.append(
                say("A {body} has no {panel}.", body=body.value, panel=name)
            )
        if codes.count(code) > 1:
            problems.append(say("{panel} is chosen twice.", panel=name))
        whole = _with_side(PART_OF.get(panel.kind, panel.kind), panel.side)
        if whole != code and whole in codes:
            problems.append(
                say(
                    "{part} lies on {whole}: choose one of the two.",
                    part=name,
                    whole=panel_name(whole, body=body),
                )
            )
    return tuple(problems)


EDGE_MORE_MIN = 15
"""To wrap an edge that was to be cut short. Common practice, no published source."""


@formula("coverage.laying_min")
def laying_range_min(*, panel: Panel, method: Method) -> Range:
    """Time that one skilled installer takes for a panel.

        hand-fitted: middle of the usual range
        pre-cut: that range x 0.5 to 0.6, unless practice names a time

    panel   with its usual range, minutes
    method  hand-fitted or pre-cut
    Not for: a shop with its own records; `jobs.findings.learning` shrinks towards them.
    Source: common practice, no published source.

    >>> laying_range_min(panel=panels()["hood"], method=Method.HAND_FITTED).value
    105.0
    """
    low, high = panel.total_low_min, panel.total_high_min
    if method is Method.PRE_CUT:
        low = panel.precut_low_min or low * PRECUT_LOW
        high = panel.precut_high_min or high * PRECUT_HIGH
    return Range(value=(low + high) / 2, low=low, high=high)


def laying_min(panel: Panel, *, method: Method) -> Figure:
    """Time that one skilled installer takes for a panel, as a figure."""
    shown = (
        ("panel", panel.name),
        ("method", method.value),
        ("usual from", panel.total_low_min),
        ("usual to", panel.total_high_min),
    )
    return computed(laying_range_min, "min", None, shown, panel=panel, method=method)


@formula("coverage.placing_min")
def placing_range_min(*, panel: Panel) -> Range:
    """Time from wet to anchored, which the open time is compared with.

        middle of the usual range

    panel   with its usual range, minutes
    The same for hand-fitted and pre-cut film: what pre-cut saves is the trimming.
    Not for: a panel laid in sections, where each section counts by itself.
    Source: common practice, no published source.

    >>> placing_range_min(panel=panels()["roof"]).high
    25.0
    """
    low, high = panel.placing_low_min, panel.placing_high_min
    return Range(value=(low + high) / 2, low=low, high=high)


def placing_min(panel: Panel) -> Figure:
    """Time from wet to anchored, as a figure."""
    shown = (
        ("panel", panel.name),
        ("usual from", panel.placing_low_min),
        ("usual to", panel.placing_high_min),
    )
    return computed(placing_range_min, "min", None, shown, panel=panel)


def _panel(row: Row, side: str) -> Panel:
    def optional_min(column: str) -> float | None:
        return float(row[column]) if row[column] else None

    bodies = frozenset(Body(word) for word in row["bodies"].split())
    return Panel(
        code=_with_side(row["kind"], side),
        kind=row["kind"],
        side=side,
        name=row["name"],
        zone=row["zone"],
        is_gauged=row["gauged"] == "yes",
        bodies=bodies or frozenset(Body),
        edge=Edge(row["edge"]),
        total_low_min=float(row["total_low_min"]),
        total_high_min=float(row["total_high_min"]),
        precut_low_min=optional_min("precut_low_min"),
        precut_high_min=optional_min("precut_high_min"),
        placing_low_min=float(row["placing_low_min"]),
        placing_high_min=float(row["placing_high_min"]),
        in_sections=row["in_sections"] == "yes",
        source=row["source"],
    )


def _with_side(kind: str, side: str) -> str:
    return f"{kind}_{side}" if side else kind
