"""The week as a table: bays or people down, days across, half a day a cell (pure)."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence, Set
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta
from enum import StrEnum
from itertools import chain

from jobs.opening.hours import NOON, Hours, Opening
from jobs.plan.naming import Names, joined
from jobs.plan.planned import ShopPlan, Step, in_time
from jobs.plan.shop import Part
from jobs.plan.words import HELD, PART_WORDS


class By(StrEnum):
    """What stands down the side of the table."""

    BAY = "bay"
    PERSON = "person"


@dataclass(frozen=True, kw_only=True)
class OpenHalf:
    """Half a day of the shop; it is open in it or not."""

    name: str
    starts_at: datetime
    ends_at: datetime

    @property
    def is_open(self) -> bool:
        """Whether anything can be done in it."""
        return self.starts_at < self.ends_at


@dataclass(frozen=True, kw_only=True)
class Day:
    """A day across the top; `closed` says why there is none."""

    day: date
    hours: Hours | None
    closed: str
    halves: tuple[OpenHalf, OpenHalf]


@dataclass(frozen=True, kw_only=True)
class Entry:
    """A car in a cell: what is done to it, with whom or where.

    begins_at  where the first of it begins in this half of the day
    is_late    its car is late; said once, where it stands first
    """

    car: str
    begins_at: datetime | None
    what: str
    beside: str
    is_late: bool = False


@dataclass(frozen=True, kw_only=True)
class Cell:
    """Half a day of a bay or a person."""

    half: OpenHalf
    entries: tuple[Entry, ...]
    is_away: bool = False


@dataclass(frozen=True, kw_only=True)
class Row:
    """A bay, a place or a person: for each day its two halves."""

    key: str
    name: str
    cells: tuple[tuple[Cell, Cell], ...]

    @property
    def is_empty(self) -> bool:
        """Nothing stands in it."""
        return not any(cell.entries for pair in self.cells for cell in pair)


@dataclass(frozen=True, kw_only=True)
class Week:
    """The table."""

    days: tuple[Day, ...]
    rows: tuple[Row, ...]

    def by_day(self) -> list[tuple[Day, list[tuple[str, tuple[Cell, Cell]]]]]:
        """Day after day, the rows in which something stands."""
        return [
            (
                day,
                [
                    (row.name, row.cells[at])
                    for row in self.rows
                    if any(cell.entries or cell.is_away for cell in row.cells[at])
                ],
            )
            for at, day in enumerate(self.days)
        ]


def days_from(
    first: date, *, number: int, opening: Opening, like: datetime
) -> tuple[Day, ...]:
    """So many days from one on, with their halves.

    like  a moment that carries the shop's zone
    """
    return tuple(
        day_of(first + timedelta(days=ahead), opening=opening, like=like)
        for ahead in range(number)
    )


def day_of(day: date, *, opening: Opening, like: datetime) -> Day:
    """One day with its two halves, parted at noon."""
    hours = opening.hours_on(day)

    def at(clock: time) -> datetime:
        return datetime.combine(day, clock, tzinfo=like.tzinfo)

    opens, closes = (hours.opens_at, hours.closes_at) if hours else (NOON, NOON)
    return Day(
        day=day,
        hours=hours,
        closed="" if hours else opening.holidays.get(day, "") or "closed",
        halves=(
            OpenHalf(
                name="morning", starts_at=at(opens), ends_at=at(min(closes, NOON))
            ),
            OpenHalf(
                name="afternoon", starts_at=at(max(opens, NOON)), ends_at=at(closes)
            ),
        ),
    )


def week(
    plan: ShopPlan,
    *,
    by: By,
    days: Sequence[Day],
    rows: Iterable[tuple[str, str, bool]],
    names: Names,
    away: Mapping[str, Sequence[tuple[datetime, datetime]]],
) -> Week:
    """The plan as a table.

    rows  key and name of each bay and place, or person, from the top, and whether it
          is shown though nothing stands in it
    away  key of a person to the half-open stretches that they are not here
    """
    steps: dict[str, list[Step]] = {}
    for step in in_time(plan.steps):
        for key in (step.spot,) if by is By.BAY else step.people:
            steps.setdefault(key, []).append(step)

    def cell(key: str, half: OpenHalf) -> Cell:
        here = [step for step in steps.get(key, ()) if _meet(step, half)]
        is_away = any(
            start < half.ends_at and end > half.starts_at
            for start, end in away.get(key, ())
        )
        entries = tuple(_entries(here, by=by, half=half, names=names))
        return Cell(half=half, entries=entries, is_away=is_away)

    def row(key: str, name: str) -> Row:
        halves = (day.halves for day in days)
        return Row(
            key=key,
            name=name,
            cells=tuple((cell(key, a), cell(key, b)) for a, b in halves),
        )

    found = [(is_always, row(key, name)) for key, name, is_always in rows]
    shown = [row for is_always, row in found if is_always or not row.is_empty]
    late = {car.car for car in plan.cars if car.standing == "late"}
    return Week(days=tuple(days), rows=tuple(_said_once(shown, late)))


def _said_once(rows: Sequence[Row], late: Set[str]) -> Iterator[Row]:
    """The rows, in which a late car is called late where it stands first."""
    first: dict[str, tuple[datetime, int]] = {}
    for number, row in enumerate(rows):
        for half in chain.from_iterable(row.cells):
            for entry in half.entries:
                at = (half.half.starts_at, number)
                first[entry.car] = min(first.get(entry.car, at), at)

    def said(cell: Cell, number: int) -> Cell:
        here = (cell.half.starts_at, number)
        entries = (
            replace(entry, is_late=entry.car in late and first[entry.car] == here)
            for entry in cell.entries
        )
        return replace(cell, entries=tuple(entries))

    for number, row in enumerate(rows):
        yield replace(
            row,
            cells=tuple((said(a, number), said(b, number)) for a, b in row.cells),
        )


def _meet(step: Step, half: OpenHalf) -> bool:
    """A step that has a share in an open half of a day."""
    return (
        half.is_open and step.starts_at < half.ends_at and step.ends_at > half.starts_at
    )


def _entries(
    steps: list[Step],
    *,
    by: By,
    half: OpenHalf,
    names: Names,
) -> Iterable[Entry]:
    cars: dict[str, list[Step]] = {}
    for step in steps:
        cars.setdefault(step.car, []).append(step)
    for car, found in cars.items():
        aside = HELD | {Part.HELP} if by is By.BAY else HELD
        work = [step for step in found if step.part not in aside] or found
        beside: list[str] = []
        for step in work:
            beside += step.people if by is By.BAY else (step.spot,)
        begins_at = work[0].starts_at
        yield Entry(
            car=car,
            begins_at=begins_at if begins_at >= half.starts_at else None,
            what=", ".join(dict.fromkeys(PART_WORDS[step.part] for step in work)),
            beside=joined(dict.fromkeys(beside), names),
        )
