"""The set of rules a shop goes by: limits with paragraph, source and date (pure).

The federal set of the United States is shipped as the example. Another country's shop
enters its own, row by row; a limit that nobody entered makes its lines NOT ASSESSED.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

from mixing.safety.flammable import CATEGORY_3_TO_C
from mixing.safety.labels import CUTOFF_HAZARDS, Hazard
from mixing.safety.rule_rows import SLOTS, SUM_PLACES, RuleRow, Slot, slot_of
from mixing.safety.storage import (
    UNITED_STATES,
    ContainerKind,
    Duty,
    SizeRule,
    StorageRules,
    SumRule,
    storage_rules,
)
from mixing.tables import table

AIR_8H = "air:8h"
AIR_15MIN = "air:15min"
CATEGORY_4 = "category:4"
WASTE_FLASH = "waste:flash"
WASTE_ALCOHOL = "waste:alcohol"
WASTE_WATER = "waste:water"
DRAIN_FLASH = "drain:flash"
LIMIT_KEYS = (
    AIR_8H,
    AIR_15MIN,
    CATEGORY_4,
    WASTE_FLASH,
    WASTE_ALCOHOL,
    WASTE_WATER,
    DRAIN_FLASH,
    *(f"label:{hazard}" for hazard in CUTOFF_HAZARDS),
)


@dataclass(frozen=True, kw_only=True)
class Limit:
    """One number of a set.

    value    in the base unit of its slot; None with `applies`: not entered
    applies  False: these rules set no such limit
    """

    key: str
    value: float | None
    applies: bool = True
    paragraph: str = ""
    source: str = ""
    dated: str = ""

    @property
    def missing(self) -> tuple[str, ...]:
        """The key to enter, or nothing."""
        return (f"rules.{self.key}",) if self.applies and self.value is None else ()

    @property
    def origin(self) -> str:
        """Where it stands."""
        return "; ".join(part for part in (self.paragraph, self.source) if part)


@dataclass(frozen=True, kw_only=True)
class SafetyRules:
    """Storage tables and single limits of one set, under one name and version."""

    storage: StorageRules
    limits: tuple[Limit, ...]

    @property
    def named(self) -> str:
        """How a line calls the set that it goes by."""
        return self.storage.named

    @property
    def is_example(self) -> bool:
        """Whether it is the shipped federal set."""
        return self.storage.is_example

    @property
    def cutoffs(self) -> dict[Hazard, float | None]:
        """From what share a mix takes over each hazard; None: never, or not entered."""
        return {each: self.limit(f"label:{each}").value for each in CUTOFF_HAZARDS}

    def limit(self, key: str) -> Limit:
        """The limit of that key; one that the set does not hold is not entered."""
        found = (limit for limit in self.limits if limit.key == key)
        return next(found, Limit(key=key, value=None))

    def lacking(self, *keys: str) -> tuple[str, ...]:
        """Which of these limits nobody entered."""
        return tuple(need for key in keys for need in self.limit(key).missing)

    def lacking_to_class(self, flash_point_c: float | None) -> tuple[str, ...]:
        """What nobody entered that a liquid of this flash point is classed by.

        Only above category 3 does it matter where category 4 ends.
        """
        above_3 = flash_point_c is not None and flash_point_c > CATEGORY_3_TO_C
        return self.lacking(CATEGORY_4) if above_3 else ()


def safety_rules(
    *,
    jurisdiction: str = UNITED_STATES,
    room_limits_l: Sequence[tuple[str, float]] = (),
) -> SafetyRules:
    """A shipped set of rules.

        rows of data/rule_limits.csv beside those of storage_rules

    jurisdiction   as in the tables
    room_limits_l  (storage room, litres) that the fire official allows
    Not for:       the law of a place: the locally adopted code decides.
    Source:        paragraph in each row

    >>> safety_rules().limit("air:8h").value
    400.0
    """
    return SafetyRules(
        storage=storage_rules(jurisdiction=jurisdiction, room_limits_l=room_limits_l),
        limits=tuple(
            Limit(
                key=row["key"],
                value=float(row["value"]),
                paragraph=row["paragraph"],
                source=row["source"],
                dated=row["dated"],
            )
            for row in table("rule_limits")
            if row["jurisdiction"] == jurisdiction
        ),
    )


@cache
def example_rules() -> SafetyRules:
    """The shipped example, read once."""
    return safety_rules()


def entered_rules(
    *,
    name: str,
    version: int,
    rows: Sequence[RuleRow],
    room_limits_l: Sequence[tuple[str, float]] = (),
) -> SafetyRules:
    """The set that a shop entered.

        limit in base units = row.value in its own unit, turned by the slot

    name           of the set
    version        1 or more
    rows           one a slot; a slot without a row is not entered
    room_limits_l  (storage room, litres) that the fire official allows
    Not for:       a check of the rows: see row_troubles.
    Source:        what the shop wrote in each row

    >>> entered_rules(name="Here", version=2, rows=[]).named
    'Here, version 2'
    """
    by_slot = {row.slot: row for row in rows}
    return SafetyRules(
        storage=StorageRules(
            jurisdiction=name,
            version=version,
            sizes=tuple(
                _size(by_slot.get(f"size:{kind}:{category}"), kind, category)
                for kind in ContainerKind
                for category in (1, 2, 3, 4)
            ),
            sums=tuple(
                _sum(row)
                for row in rows
                if slot_of(row.slot).group == "sum" and row.category_set
            ),
            duties=tuple(
                _duty(by_slot.get(slot.key), slot)
                for slot in SLOTS
                if slot.group == "duty"
            ),
            room_limits_l=tuple(room_limits_l),
        ),
        limits=tuple(_limit(key, by_slot.get(key)) for key in LIMIT_KEYS),
    )


def _limit(key: str, row: RuleRow | None) -> Limit:
    if row is None:
        return Limit(key=key, value=None)
    return Limit(
        key=key,
        value=row.base_value,
        applies=row.applies,
        paragraph=row.paragraph,
        source=row.source,
        dated=row.dated,
    )


def _size(row: RuleRow | None, kind: ContainerKind, category: int) -> SizeRule:
    row = row or RuleRow(slot=f"size:{kind}:{category}")
    return SizeRule(
        kind=kind,
        category=category,
        max_l=row.base_value,
        paragraph=row.paragraph,
        source=row.source,
        dated=row.dated,
        applies=row.applies,
    )


def _duty(row: RuleRow | None, slot: Slot) -> Duty:
    row = row or RuleRow(slot=slot.key)
    return Duty(
        topic=slot.key.removeprefix("duty:"),
        line=row.line.strip(),
        categories=row.category_set or frozenset({1, 2, 3, 4}),
        paragraph=row.paragraph,
        source=row.source,
        dated=row.dated,
        applies=row.applies,
    )


def _sum(row: RuleRow) -> SumRule:
    return SumRule(
        place=next(place for place in SUM_PLACES if f":{place}:" in row.slot),
        categories=row.category_set,
        max_l=row.base_value,
        paragraph=row.paragraph,
        source=row.source,
        dated=row.dated,
        applies=row.applies,
    )
