"""Words of intake and inspection: marks, paint readings, checklists, standard (pure).

The mark kinds are our own list. Paint flags say "possible": sources disagree and no
number fits every maker.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from enum import IntEnum, StrEnum
from functools import cache
from statistics import median

from jobs.tables import Row, table
from shopapp.figures import Figure, Range, computed, formula, given
from shopapp.say import Say, say


class Severity(IntEnum):
    """How bad a mark is."""

    SLIGHT = 1
    PLAIN = 2
    SEVERE = 3


class Filming(StrEnum):
    """What a mark means for the film.

    Common practice, no published source.
    """

    YES = "yes"
    CONSENT = "consent"
    REMOVE_FIRST = "remove_first"
    NEVER = "never"


class ItemKind(StrEnum):
    """What an item of a checklist takes."""

    TICK = "tick"
    NUMBER = "number"
    TEXT = "text"
    PHOTO = "photo"
    WATER = "water"


FILMING: Mapping[Filming, Say | None] = {
    Filming.YES: None,
    Filming.CONSENT: say("film only with consent"),
    Filming.REMOVE_FIRST: say("take off first"),
    Filming.NEVER: say("not filmed here"),
}
"""What is said beside a mark of each sort; nothing where film may go over it."""


@dataclass(frozen=True, kw_only=True)
class MarkKind:
    """A kind of mark found at intake or after the wash."""

    kind: str
    name: str
    film: Filming
    source: str


@dataclass(frozen=True, kw_only=True)
class ChecklistItem:
    """One line of a checklist: a short command.

    low, high  limits of a number in `unit`, None for the other kinds
    """

    code: str
    text: str
    kind: ItemKind
    is_required: bool
    low: float | None
    high: float | None
    unit: str
    source: str


@dataclass(frozen=True, kw_only=True)
class PaintLimits:
    """When a paint reading is flagged; the shop edits them.

    thin_um     below: caution before polishing
    refinish_um above: possible refinish
    filler_um   above: possible filler
    of_median   a spot above this multiple of the vehicle's median is checked
    beside_um   neighbouring panels that differ by more are checked
    Source: secondary trade sources that disagree; the two relative values are ours.
    """

    thin_um: float = 80.0
    refinish_um: float = 200.0
    filler_um: float = 300.0
    of_median: float = 1.5
    beside_um: float = 40.0


@dataclass(frozen=True, kw_only=True)
class AcceptanceStandard:
    """What the shop lets pass on a panel, looked at as it says.

    largest_mm     a single defect up to this size passes
    per_panel      so many defects pass on one panel
    distance_mm    viewing distance
    light          how it is lit
    watched        kinds that are watched until the recheck and do not count
    Source: common practice, no published source; each shop sets its own.
    """

    largest_mm: float = 2.0
    per_panel: int = 3
    distance_mm: float = 600.0
    light: str = "raking light"
    watched: frozenset[str] = frozenset({"water_pocket", "haze"})


@dataclass(frozen=True, kw_only=True)
class SeenDefect:
    """An open defect as the standard looks at it; size_mm None is "not sized"."""

    name: str
    panel: str
    kind: str
    size_mm: float | None


@cache
def mark_kinds() -> Mapping[str, MarkKind]:
    """Kinds of marks by code, in the order in which they are offered."""
    return {
        row["kind"]: MarkKind(
            kind=row["kind"],
            name=row["name"],
            film=Filming(row["film"]),
            source=row["source"],
        )
        for row in table("mark_kinds")
    }


@cache
def default_checklists() -> Mapping[str, tuple[ChecklistItem, ...]]:
    """The shipped checklists by name; the shop keeps its own versions."""
    lists: dict[str, list[ChecklistItem]] = {}
    for row in table("checklists"):
        lists.setdefault(row["checklist"], []).append(_item(row))
    return {name: tuple(items) for name, items in lists.items()}


def mark_named(kind: str) -> str:
    """A kind of mark in words; one that is not known any more by its own code.

    >>> mark_named("swirls"), mark_named("old_kind")
    ('swirl marks or holograms', 'old kind')
    """
    known = mark_kinds().get(kind)
    return known.name if known else kind.replace("_", " ")


def asks_consent(kind: str) -> bool:
    """Whether film goes over a mark of this kind only with the customer's yes.

    kind  a kind of `mark_kinds`; of an unknown one the careful answer is yes

    >>> asks_consent("stone_chip"), asks_consent("swirls")
    (True, False)
    """
    known = mark_kinds().get(kind)
    return known is None or known.film is Filming.CONSENT


PHOTOS_WANTED: Mapping[str, int] = {"photograph_all_four_sides": 4}
"""Photos after which an item is done, by its code; one where nothing stands here."""


def photos_wanted(code: str) -> int:
    """How many photos an item of a checklist takes before it is done.

    >>> photos_wanted("photograph_all_four_sides")
    4
    """
    return PHOTOS_WANTED.get(code, 1)


def number_problem(item: ChecklistItem, *, value: float) -> Say | None:
    """Why a number cannot be right for an item, or None; limits belong to it."""
    if not math.isfinite(value):
        return say("{item}: that is not a number.", item=item.text)
    if item.low is not None and value < item.low:
        limit = given(item.low, item.unit, "checklist")
        return say("{item}: not below {limit}.", item=item.text, limit=limit)
    if item.high is not None and value > item.high:
        limit = given(item.high, item.unit, "checklist")
        return say("{item}: not above {limit}.", item=item.text, limit=limit)
    return None


@formula("marks.spot_um")
def mean_um(*, readings_um: Sequence[float]) -> Range:
    """Paint thickness at one spot.

        spot = mean of the readings

    readings_um  three or more readings inside a circle of 40 mm, um, 0 to 5000
    Not for: plastic, glass or composite, which a gauge for metal cannot read.
    Source: SSPC-PA 2 with ASTM D7091 (a spot is the mean of at least three readings).

    >>> mean_um(readings_um=[118, 122, 120]).value
    120.0
    """
    if len(readings_um) < 3:
        raise ValueError("a spot needs at least three readings")
    if not all(0 <= reading <= 5000 for reading in readings_um):
        raise ValueError("a paint reading lies between 0 and 5000 µm")
    return Range(
        value=sum(readings_um) / len(readings_um),
        low=float(min(readings_um)),
        high=float(max(readings_um)),
    )


def spot_um(readings_um: Sequence[float]) -> Figure:
    """Paint thickness at one spot, as a figure."""
    shown = tuple(
        (f"reading {number}", given(reading, "um", "gauge"))
        for number, reading in enumerate(readings_um, start=1)
    )
    return computed(mean_um, "um", None, shown, readings_um=readings_um)


def paint_flags(
    *, spot_um: float, vehicle_spots_um: Sequence[float], limits: PaintLimits
) -> tuple[Say, ...]:
    """What is worth a second look at one spot.

    spot_um           the spot, um
    vehicle_spots_um  all spots of the vehicle, um, for the median
    """
    flags = []
    spot = given(spot_um, "um", "gauge")
    if spot_um < limits.thin_um:
        flags.append(say("{spot}: thin; take care before polishing.", spot=spot))
    if spot_um > limits.filler_um:
        flags.append(say("{spot}: possible filler.", spot=spot))
    elif spot_um > limits.refinish_um:
        flags.append(say("{spot}: possible refinish.", spot=spot))
    if vehicle_spots_um:
        middle = median(vehicle_spots_um)
        if spot_um > limits.of_median * middle:
            flags.append(
                say(
                    "{spot} where the car has about {median}: check.",
                    spot=spot,
                    median=given(middle, "um", "median of the vehicle"),
                )
            )
    return tuple(flags)


def neighbours_flag(
    *,
    panel: str,
    panel_um: float,
    beside: str,
    beside_um: float,
    limits: PaintLimits,
) -> Say | None:
    """What to say of two neighbouring panels whose paint differs, or None."""
    if abs(panel_um - beside_um) <= limits.beside_um:
        return None
    return say(
        "{panel} has {here} and {beside} {there}: check.",
        panel=panel,
        here=given(panel_um, "um", "gauge"),
        beside=beside,
        there=given(beside_um, "um", "gauge"),
    )


NEIGHBOURS: tuple[tuple[str, str], ...] = (
    ("hood", "front_fender"),
    ("front_fender", "front_door"),
    ("front_door", "rear_door"),
    ("rear_door", "quarter"),
    ("front_door", "rocker"),
    ("quarter", "boot_lid"),
    ("a_pillar", "roof"),
)
"""Kinds of panels that meet on a car and are painted together."""


def neighbours(codes: Iterable[str]) -> tuple[tuple[str, str], ...]:
    """Pairs of these panels that lie side by side, on the same side of the car.

    >>> neighbours(["hood", "front_fender_left", "front_door_right"])
    (('hood', 'front_fender_left'),)
    """
    known = list(codes)
    kinds = {code: _kind_and_side(code) for code in known}
    return tuple(
        (one, other)
        for one in known
        for other in known
        if (kinds[one][0], kinds[other][0]) in NEIGHBOURS
        and (not kinds[one][1] or kinds[other][1] in ("", kinds[one][1]))
    )


def _kind_and_side(code: str) -> tuple[str, str]:
    for side in ("left", "right"):
        if code.endswith(f"_{side}"):
            return code.removesuffix(f"_{side}"), side
    return code, ""


def outside_standard(
    defects: Iterable[SeenDefect], *, standard: AcceptanceStandard
) -> tuple[SeenDefect, ...]:
    """The open defects that the shop's standard does not let pass.

    A defect larger than the standard, or one that nobody sized, is outside by
    itself; more small ones on a panel than the standard allows are all outside.
    Watched kinds do not count.
    """
    counted = [d for d in defects if d.kind not in standard.watched]
    on_panel: dict[str, int] = {}
    for defect in counted:
        on_panel[defect.panel] = on_panel.get(defect.panel, 0) + 1
    return tuple(
        defect
        for defect in counted
        if defect.size_mm is None
        or defect.size_mm > standard.largest_mm
        or on_panel[defect.panel] > standard.per_panel
    )


def _item(row: Row) -> ChecklistItem:
    return ChecklistItem(
        code=row["code"],
        text=row["text"],
        kind=ItemKind(row["kind"]),
        is_required=row["required"] == "yes",
        low=float(row["low"]) if row["low"] else None,
        high=float(row["high"]) if row["high"] else None,
        unit=row["unit"],
        source=row["source"],
    )
