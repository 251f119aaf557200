"""The rows of a set of rules as a shop types them: slots, units, checks (pure)."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass, fields
from math import isfinite

from mixing.limits import ALLOWED_L, SHORT_PPM, VAPOUR_PPM
from mixing.safety.storage import L_PER_US_GAL, UNITED_STATES, ContainerKind
from mixing.tables import Row, table
from shopapp.documents import Document

_G_PER_MOL = 60.1
NOT_STATED = "not stated"
UNITS_OF: Mapping[str, Mapping[str, tuple[float, float]]] = {
    "l": {
        "L": (1.0, 0.0),
        "US gal": (L_PER_US_GAL, 0.0),
        "US qt": (L_PER_US_GAL / 4, 0.0),
        "US pt": (L_PER_US_GAL / 8, 0.0),
    },
    "ppm": {
        "ppm": (1.0, 0.0),
        # Molar volumes 24.06 and 24.47 L/mol at 1 atm: a sheet says which it means.
        "mg/m³ at 20 °C": (24.06 / _G_PER_MOL, 0.0),
        "mg/m³ at 25 °C": (24.47 / _G_PER_MOL, 0.0),
    },
    "degc": {"°C": (1.0, 0.0), "°F": (1 / 1.8, -32 / 1.8)},
    "vv_pct": {"% v/v": (1.0, 0.0)},
    "pct": {"% by mass": (1.0, 0.0)},
    "": {},
}
"""Base unit to the units it may be typed in: base = typed * factor + offset."""

SUM_PLACES = ("cabinet", "outside", "tank")
_DATED = re.compile(r"\d{4}(-(0[1-9]|1[0-2])(-(0[1-9]|[12]\d|3[01]))?)?")


@dataclass(frozen=True, kw_only=True)
class Slot:
    """A limit that a set has to say something of; bounds in the base unit.

    unit  "" for an instruction: words, no number
    """

    key: str
    group: str
    what: str
    unit: str
    low: float
    high: float


_KINDS = {
    ContainerKind.GLASS_OR_PLASTIC: "glass or plastic",
    ContainerKind.METAL: "metal, not a drum",
    ContainerKind.SAFETY_CAN: "safety can",
    ContainerKind.DRUM: "metal drum",
    ContainerKind.PORTABLE_TANK: "portable tank",
}
_PLACES = (
    ("cabinet", "one cabinet", 2),
    ("outside", "outside cabinets, one fire area", 3),
    ("tank", "one portable tank outside", 1),
)
SLOTS: tuple[Slot, ...] = (
    *(
        Slot(
            key=f"size:{kind}:{category}",
            group="size",
            what=f"{name}, category {category}",
            unit="l",
            low=0.01,
            high=5_000,
        )
        for kind, name in _KINDS.items()
        for category in (1, 2, 3, 4)
    ),
    *(
        Slot(
            key=f"sum:{place}:{n}",
            group="sum",
            what=name,
            unit="l",
            low=ALLOWED_L.low,
            high=ALLOWED_L.high,
        )
        for place, name, count in _PLACES
        for n in range(1, count + 1)
    ),
    Slot(
        key="air:8h",
        group="air",
        what="isopropyl alcohol, 8-hour average",
        unit="ppm",
        low=VAPOUR_PPM.low,
        high=VAPOUR_PPM.high,
    ),
    Slot(
        key="air:15min",
        group="air",
        what="isopropyl alcohol, 15 minutes",
        unit="ppm",
        low=SHORT_PPM.low,
        high=SHORT_PPM.high,
    ),
    Slot(
        key="category:4",
        group="category",
        what="category 4 reaches up to a flash point of",
        unit="degc",
        low=60,
        high=150,
    ),
    Slot(
        key="waste:flash",
        group="waste",
        what="ignitable waste below a flash point of",
        unit="degc",
        low=20,
        high=120,
    ),
    Slot(
        key="waste:alcohol",
        group="waste",
        what="water mix left out below an alcohol share of",
        unit="vv_pct",
        low=0,
        high=100,
    ),
    Slot(
        key="waste:water",
        group="waste",
        what="and only from a water share of",
        unit="pct",
        low=0,
        high=100,
    ),
    Slot(
        key="drain:flash",
        group="waste",
        what="barred from the sewer below a flash point of",
        unit="degc",
        low=20,
        high=120,
    ),
)
_LABELS = {
    "EYE_DAMAGE_1": "eye damage, category 1",
    "EYE_IRRIT_2": "eye irritation, category 2",
    "SKIN_CORR_1": "skin corrosion, category 1",
    "SKIN_IRRIT_2": "skin irritation, category 2",
    "SKIN_SENS_1": "allergic skin reaction, category 1",
    "STOT_SE_3_NARCOTIC": "drowsiness, category 3",
    "STOT_SE_3_IRRITANT": "irritated airways, category 3",
}
_DUTIES = {
    "cover": "keeping containers covered",
    "ignition": "ignition sources",
    "spill": "taking up spills",
    "transfer": "pouring over",
    "bonding": "bonding before filling",
    "cabinet": "marking and closing the cabinet",
    "rags": "rags and residue",
}
SLOTS += tuple(
    Slot(
        key=f"label:{hazard}",
        group="label",
        what=f"a mix takes over {name}, from",
        unit="pct",
        low=0.001,
        high=100,
    )
    for hazard, name in _LABELS.items()
)
SLOTS += tuple(
    Slot(key=f"duty:{topic}", group="duty", what=what, unit="", low=0, high=0)
    for topic, what in _DUTIES.items()
)
_BY_KEY = {slot.key: slot for slot in SLOTS}


def slot_of(key: str) -> Slot:
    """The slot of a key; LookupError for one that there is not.

    >>> slot_of("waste:alcohol").unit
    'vv_pct'
    """
    return _BY_KEY[key]


@dataclass(frozen=True, kw_only=True)
class RuleRow:
    """One row as it was typed.

    value       in `unit`; None: not entered
    applies     False: these rules set no such limit
    line        an instruction, in the shop's words; only of a duty
    categories  summed together, "1 2 3", or those that an instruction holds for
    dated       of the text, "2020-09-08", "2020-09", "2020" or "not stated"
    """

    slot: str
    value: float | None = None
    unit: str = ""
    applies: bool = True
    line: str = ""
    categories: str = ""
    paragraph: str = ""
    source: str = ""
    dated: str = ""

    @property
    def base_value(self) -> float | None:
        """In the base unit of its slot; None where there is none."""
        if self.value is None or not self.applies:
            return None
        factor, offset = UNITS_OF[slot_of(self.slot).unit][self.unit]
        return self.value * factor + offset

    @property
    def category_set(self) -> frozenset[int]:
        """The categories that a sum counts together."""
        return frozenset(int(c) for c in self.categories if c in "1234")

    @property
    def is_blank(self) -> bool:
        """Whether nothing was said in it."""
        return self.value is None and not self.line.strip() and self.applies


RULE_ROW = Document(kind="safety rule")


def row_from_json(stored: Mapping[str, object]) -> RuleRow:
    """The row that `row_to_json` wrote; a field that it lacks takes its default.

    >>> row_from_json({"slot": "air:8h", "value": 200.0, "unit": "ppm"}).base_value
    200.0
    """
    known = {each.name for each in fields(RuleRow)}
    row = RULE_ROW.upgrade(stored)
    return RuleRow(**{k: v for k, v in row.items() if k in known})


def row_to_json(row: RuleRow) -> dict[str, object]:
    """A row as plain JSON values.

    >>> row_to_json(RuleRow(slot="air:8h"))["applies"]
    True
    """
    return RULE_ROW.stamp(asdict(row))


def row_troubles(row: RuleRow, *, this_year: int) -> list[tuple[str, str]]:
    """What is wrong with a row: (field, sentence); nothing for a blank one.

        a value in its slot's range, with paragraph, source and date

    row        as typed
    this_year  a text is not from the future
    Not for:   whether the number is what the paragraph says.
    Source:    our own rule: a limit without a source is not a limit

    >>> row_troubles(RuleRow(slot="air:8h"), this_year=2026)
    []
    """
    slot, found = slot_of(row.slot), []
    if row.value is not None and not row.applies:
        found.append(("value", "Either a number or “no such limit”, not both."))
    elif row.value is not None:
        found += _value_trouble(slot, row)
    if row.line.strip() and not row.applies:
        found.append(("line", "Either an instruction or “no such rule”, not both."))
    if row.is_blank:
        return found
    if slot.group == "sum" and not row.category_set:
        found.append(("categories", "Say which categories count together: 1 2 3."))
    for name, told in _ORIGIN.items():
        if not getattr(row, name).strip():
            found.append((name, told))
    return found + _dated_trouble(row, this_year)


_ORIGIN = {
    "paragraph": "Name the paragraph.",
    "source": "Name the text it stands in.",
    "dated": "Say of what date the text is.",
}


def _value_trouble(slot: Slot, row: RuleRow) -> list[tuple[str, str]]:
    if row.unit not in UNITS_OF[slot.unit]:
        return [("unit", "Choose the unit.")]
    factor, offset = UNITS_OF[slot.unit][row.unit]
    base = row.base_value
    assert base is not None
    if isfinite(base) and slot.low * (1 - 1e-9) <= base <= slot.high * (1 + 1e-9):
        return []
    low, high = ((end - offset) / factor for end in (slot.low, slot.high))
    return [("value", f"Enter {low:.4g} to {high:.6g} {row.unit}.")]


def _dated_trouble(row: RuleRow, this_year: int) -> list[tuple[str, str]]:
    dated = row.dated.strip()
    if not dated or dated == NOT_STATED:
        return []
    if not _DATED.fullmatch(dated):
        return [("dated", "Write it as 2020-09-08, 2020-09, 2020 or: not stated.")]
    if int(dated[:4]) > this_year:
        return [("dated", "This year has not come yet.")]
    return []


def set_troubles(rows: Sequence[RuleRow]) -> list[tuple[str, str, str]]:
    """What does not fit between rows: (slot, field, sentence).

        15-minute limit >= 8-hour limit

    rows     of one set
    Not for: rows that are wrong by themselves.
    Source:  what the words mean; no source needed

    >>> low = RuleRow(slot="air:15min", value=100, unit="ppm")
    >>> set_troubles([RuleRow(slot="air:8h", value=400, unit="ppm"), low])[0][0]
    'air:15min'
    """
    value = {row.slot: row.base_value for row in rows}
    long, short = value.get("air:8h"), value.get("air:15min")
    if long is None or short is None or short >= long * (1 - 1e-9):
        return []
    told = "A 15-minute limit does not lie below the 8-hour limit."
    return [("air:15min", "value", told)]


def example_rows(*, jurisdiction: str = UNITED_STATES) -> tuple[RuleRow, ...]:
    """A shipped set as rows, to begin one's own from.

    >>> len(example_rows())
    46
    """
    units = {"degc": "°C", "ppm": "ppm", "vv_pct": "% v/v", "pct": "% by mass"}

    def own(name: str) -> list[Row]:
        return [row for row in table(name) if row["jurisdiction"] == jurisdiction]

    sizes = [
        _row(f"size:{row['kind']}:{row['category']}", row, "max_us_gal", "US gal")
        for row in own("container_sizes")
    ]
    counted: dict[str, int] = {}
    sums = []
    for row in own("storage_limits"):
        place = row["place"]
        counted[place] = counted.get(place, 0) + 1
        slot = f"sum:{place}:{counted[place]}"
        sums.append(_row(slot, row, "max_us_gal", "US gal", row["categories"]))
    singles = [
        _row(row["key"], row, "value", units[row["unit"]]) for row in own("rule_limits")
    ]
    duties = [
        RuleRow(
            slot=f"duty:{row['topic']}",
            line=row["line"],
            categories=row["categories"],
            paragraph=row["paragraph"],
            source=row["source"],
            dated=row["dated"],
        )
        for row in own("storage_duties")
    ]
    return (*sizes, *sums, *singles, *duties)


def _row(slot: str, row: Row, column: str, unit: str, categories: str = "") -> RuleRow:
    return RuleRow(
        slot=slot,
        value=float(row[column]),
        unit=unit,
        categories=categories,
        paragraph=row["paragraph"],
        source=row["source"],
        dated=row["dated"],
    )
