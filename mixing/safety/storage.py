"""Stock against the storage limits that a shop goes by (pure).

The limits are rows of data, one set a jurisdiction; the federal set of the United
States is the example. Containers count as full. The local fire code may be stricter.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from mixing.safety.bounds import between
from mixing.safety.flammable import check_category
from mixing.tables import Row, table
from shopapp.figures import formula

L_PER_US_GAL = 3.785411784
NOT_FLAMMABLE = 0
UNITED_STATES = "United States"


class ContainerKind(StrEnum):
    """Kinds of container that the size table knows."""

    GLASS_OR_PLASTIC = "glass_or_plastic"
    METAL = "metal"
    SAFETY_CAN = "safety_can"
    DRUM = "drum"
    PORTABLE_TANK = "portable_tank"


class Place(StrEnum):
    """Where a container stands, as the rules tell places apart."""

    CABINET = "cabinet"
    ROOM = "room"
    OUTSIDE = "outside"


@dataclass(frozen=True, kw_only=True)
class Location:
    """name: the cabinet or storage room, or the fire area for `Place.OUTSIDE`."""

    place: Place
    name: str

    def __post_init__(self) -> None:
        if not self.name.strip():
            raise ValueError(
                "A location needs a name: the cabinet, the storage room, or the fire "
                "area. Enter it on the stock shelf."
            )


@dataclass(frozen=True, kw_only=True)
class StockContainer:
    """A container on the shelf; None: not entered, which is never a pass.

    category           1 to 4, NOT_FLAMMABLE (0), or None
    size_l             what it holds when full, L, above 0 to 3000
    listed             plastic with a transport approval or a test laboratory's
                       listing; None: nobody looked
    is_glass           glass, where the size row also holds for plastic
    is_in_use          a bottle or sprayer: its size counts, no place sums it
    metal_would_spoil  metal would spoil the liquid or be eaten by it
    count              equal containers at the same place
    """

    name: str
    category: int | None
    size_l: float | None
    kind: ContainerKind | None
    location: Location | None
    flash_point_c: float | None = None
    boiling_point_c: float | None = None
    listed: bool | None = False
    is_glass: bool = False
    is_in_use: bool = False
    metal_would_spoil: bool = False
    count: int = 1

    def __post_init__(self) -> None:
        if self.size_l is not None:
            between(
                self.size_l,
                low=0.001,
                high=3000,
                what=f"The size of {self.name}",
                unit="L",
                remedy="Read it off the container.",
            )
        if not isinstance(self.count, int) or self.count < 1:
            raise ValueError(
                f"{self.name}: the count is a whole number of 1 or more, not "
                f"{self.count}."
            )
        if self.category not in (None, NOT_FLAMMABLE, 1, 2, 3, 4):
            raise ValueError(
                f"{self.name}: a flammable category is 1 to 4, or 0 for a liquid that "
                f"is not flammable, not {self.category}."
            )
        if self.category is not None and self.flash_point_c is not None:
            check_category(
                category=self.category or None,
                flash_point_c=self.flash_point_c,
                boiling_point_c=self.boiling_point_c,
            )


@dataclass(frozen=True, kw_only=True)
class SizeRule:
    """Largest container of a kind for a category.

    max_l    L; None with `applies`: nobody entered it, which is never a pass
    applies  False: these rules set no such limit
    """

    kind: ContainerKind
    category: int
    max_l: float | None
    paragraph: str = ""
    source: str = ""
    dated: str = ""
    applies: bool = True

    @property
    def key(self) -> str:
        """As in the slots of a set."""
        return f"size:{self.kind}:{self.category}"


@dataclass(frozen=True, kw_only=True)
class SumRule:
    """Most that may stand in one place; place "tank" is one tank outside a room.

    max_l, applies  as in SizeRule
    """

    place: str
    categories: frozenset[int]
    max_l: float | None
    paragraph: str = ""
    source: str = ""
    dated: str = ""
    applies: bool = True

    @property
    def key(self) -> str:
        """As in the slots of a set."""
        return f"sum:{self.place}:" + "+".join(map(str, sorted(self.categories)))


@dataclass(frozen=True, kw_only=True)
class Duty:
    """What is done at the shelf or the mixing point.

    topic       as in the slots of a set
    line        the instruction; "" with `applies`: nobody entered it
    categories  it holds where one of them is held or sprayed
    """

    topic: str
    line: str
    categories: frozenset[int] = frozenset({1, 2, 3, 4})
    paragraph: str = ""
    source: str = ""
    dated: str = ""
    applies: bool = True

    @property
    def key(self) -> str:
        """As in the slots of a set."""
        return f"duty:{self.topic}"


@dataclass(frozen=True, kw_only=True)
class StorageRules:
    """The set a shop goes by; another country's shop enters its own.

    version        of a set that the shop entered; None: shipped as an example
    room_limits_l  (storage room, litres) as the fire official set them
    """

    jurisdiction: str
    sizes: tuple[SizeRule, ...]
    sums: tuple[SumRule, ...]
    duties: tuple[Duty, ...] = ()
    room_limits_l: tuple[tuple[str, float], ...] = ()
    version: int | None = None

    @property
    def named(self) -> str:
        """How a line calls the set that it goes by."""
        if self.version is None:
            return f"{self.jurisdiction} (example)"
        return f"{self.jurisdiction}, version {self.version}"

    @property
    def is_example(self) -> bool:
        """Whether it is the shipped federal set, with its own exceptions."""
        return self.version is None and self.jurisdiction == UNITED_STATES


def storage_rules(
    *,
    jurisdiction: str = UNITED_STATES,
    room_limits_l: Sequence[tuple[str, float]] = (),
) -> StorageRules:
    """The storage rules of one jurisdiction, in litres.

        rows of data/container_sizes.csv, storage_limits.csv and storage_duties.csv

    jurisdiction   as in the tables
    room_limits_l  (storage room, litres) that the fire official allows
    Not for:       building sites, which go by 1926.152.
    Source:        29 CFR 1910.106(d) and (e), paragraph in each row

    >>> len(storage_rules().sizes)
    20
    """
    sizes = _rows("container_sizes", jurisdiction)
    sums = _rows("storage_limits", jurisdiction)
    if not sizes or not sums:
        raise ValueError(
            f"No storage rules are entered for {jurisdiction!r}. Enter the set you go "
            "by in shop settings, safety rules."
        )
    return StorageRules(
        jurisdiction=jurisdiction,
        sizes=tuple(_size_rule(row) for row in sizes),
        sums=tuple(_sum_rule(row) for row in sums),
        duties=tuple(_duty(row) for row in _rows("storage_duties", jurisdiction)),
        room_limits_l=tuple(room_limits_l),
    )


def _rows(name: str, jurisdiction: str) -> list[Row]:
    return [row for row in table(name) if row["jurisdiction"] == jurisdiction]


def _size_rule(row: Row) -> SizeRule:
    return SizeRule(
        kind=ContainerKind(row["kind"]),
        category=int(row["category"]),
        max_l=float(row["max_us_gal"]) * L_PER_US_GAL,
        paragraph=row["paragraph"],
        source=row["source"],
        dated=row["dated"],
    )


def _sum_rule(row: Row) -> SumRule:
    return SumRule(
        place=row["place"],
        categories=frozenset(int(c) for c in row["categories"].split()),
        max_l=float(row["max_us_gal"]) * L_PER_US_GAL,
        paragraph=row["paragraph"],
        source=row["source"],
        dated=row["dated"],
    )


def _duty(row: Row) -> Duty:
    return Duty(
        topic=row["topic"],
        line=row["line"],
        categories=frozenset(int(c) for c in row["categories"].split()),
        paragraph=row["paragraph"],
        source=row["source"],
        dated=row["dated"],
    )


def size_rule(
    *, kind: ContainerKind, category: int, rules: StorageRules
) -> SizeRule | None:
    """The row of the size table; None where the set has none.

    >>> rule = size_rule(kind=ContainerKind.DRUM, category=3, rules=storage_rules())
    >>> rule.key
    'size:drum:3'
    """
    for rule in rules.sizes:
        if rule.kind == kind and rule.category == category:
            return rule
    return None


@formula("storage.held_l")
def held_l(
    *, containers: Sequence[StockContainer], categories: frozenset[int]
) -> float:
    """Litres of some categories in containers, each counted as full.

        sum(size * count)

    containers  those at one place, with category and size known
    categories  the ones that a rule sums
    Not for:    what is left in opened containers.
    Source:     our own reading of limits "in containers": full is the safe side

    >>> can = StockContainer(name="C1", category=2, size_l=5.0, count=2,
    ...     kind=ContainerKind.METAL, location=None)
    >>> held_l(containers=[can], categories=frozenset({2, 3}))
    10.0
    """
    return sum(
        (c.size_l or 0.0) * c.count for c in containers if c.category in categories
    )
