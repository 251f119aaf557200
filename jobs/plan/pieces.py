"""A car's works as pieces that fit into a day (pure)."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from jobs.plan.calendar import Calendar
from jobs.plan.shop import Car, Hand, Part, ShopFacts, Skill, Spot, Work
from jobs.scheduling.problem import Interval

LEAST_PIECE_MIN = 120
"""Film work is not cut shorter for somebody's short day. Common practice, no source."""
BESIDE = frozenset({Part.HELP, Part.SETTLING, Part.STAY, Part.PARKED})
"""Parts that are no step of the chain."""


@dataclass(frozen=True, kw_only=True)
class Piece:
    """Work without a break on the axis.

    work     what it is a piece of
    number   among the pieces of its part, from 0
    size     ticks
    more     ticks that the long end of the estimate adds
    help     a second person beside it from beginning to end
    """

    car: str
    work: Work
    number: int
    size: int
    more: int = 0
    help: Work | None = None

    @property
    def key(self) -> str:
        """As `Step.key`."""
        return step_key(self.car, self.work.part, self.number)


def step_key(car: str, part: Part, number: int = 0) -> str:
    """The key of a step of a plan, and of its activity."""
    return f"{car}/{part.value}/{number}"


@dataclass(frozen=True, kw_only=True)
class Floor:
    """Who and what is there, with their closed ticks.

    closed  for each key of a person or spot the ticks in which it is not there
    """

    facts: ShopFacts
    calendar: Calendar
    closed: Mapping[str, tuple[Interval, ...]]

    @property
    def hands(self) -> dict[str, Hand]:
        """People by key."""
        return {hand.key: hand for hand in self.facts.hands}

    @property
    def spots(self) -> dict[str, Spot]:
        """Bays and places by key."""
        return {spot.key: spot for spot in self.facts.spots}

    def able(self, skill: Skill) -> tuple[str, ...]:
        """Who may do it and is here at some time, sorted."""
        return tuple(
            sorted(
                hand.key
                for hand in self.facts.hands
                if (skill is Skill.ANY or skill in hand.skills)
                and self.longest_run(hand.key)
            )
        )

    def of_kind(self, kind: str) -> tuple[str, ...]:
        """Spots of a kind that are there at some time, sorted."""
        return tuple(
            sorted(
                spot.key
                for spot in self.facts.spots
                if spot.kind == kind and spot.room_for and self.longest_run(spot.key)
            )
        )

    def longest_run(self, key: str) -> int:
        """The most ticks in a row in which it is there."""
        return max((b - a for a, b in self.free_runs(key)), default=0)

    def free_runs(self, key: str) -> Iterator[Interval]:
        """Stretches in which it is there."""
        return gaps(self.closed[key], self.calendar.count)

    def is_free(self, key: str, start: int, end: int) -> bool:
        """Whether it is there from start to end."""
        return all(end <= a or b <= start for a, b in self.closed[key])

    def stays(self, keys: Iterable[str]) -> int:
        """Ticks from now in which all of these are there; 0 for nobody."""
        ends = [
            next((b for a, b in self.free_runs(key) if a == 0), 0)
            for key in keys
            if key in self.closed
        ]
        return min(ends, default=0)

    def longest_day(self) -> int:
        """Ticks of the longest opening day."""
        return max((b - a for a, b in self.calendar.days), default=0)

    def shortest_day(self, keys: Iterable[str]) -> int:
        """Ticks that everybody of these has in a row on a day on which they come.

        Whole days off shorten nothing; nor does less than `LEAST_PIECE_MIN`.
        """
        shortest = self.longest_day()
        least = self.calendar.ticks(LEAST_PIECE_MIN)
        for key in keys:
            closed = self.closed[key]
            for first, last in self.calendar.days if closed else ():
                inside = [(a, b) for a, b in closed if a < last and first < b]
                runs = [
                    b - a
                    for a, b in gaps(
                        [(a - first, b - first) for a, b in inside], last - first
                    )
                ]
                if inside and runs:
                    shortest = min(shortest, max(least, *runs))
        return shortest


def gaps(closed: Sequence[Interval], count: int) -> Iterator[Interval]:
    """What is left between sorted intervals, from 0 up to `count`."""
    at = 0
    for first, last in closed:
        if at < min(first, count):
            yield at, min(first, count)
        at = max(at, last)
    if at < count:
        yield at, count


def pieces_of(
    car: Car,
    *,
    floor: Floor,
    before: Mapping[str, int],
    limit: Callable[[Work], int | None],
) -> tuple[Piece, ...]:
    """The works of a car still to do, in order, in pieces.

    before  for each key of a piece still to come in the plan in force its ticks; 0
            where it should have begun
    limit   the longest piece of a work in ticks, None without one
    """
    helping = next((w for w in car.works if w.part is Part.HELP and w.minutes), None)
    left = floor.calendar.ticks(helping.minutes) if helping else 0
    found: list[Piece] = []
    for work in car.works:
        if work.part in BESIDE or not (work.minutes or work.began):
            continue
        size = max(1, floor.calendar.ticks(work.minutes))
        helped = min(left, size) if work.part is Part.INSTALL else 0
        left -= helped
        most = limit(work) or size
        old = _old_sizes(car.key, work.part, before)
        sizes = [(one, helping) for one in _cut(helped, limit=most)]
        sizes += [(one, None) for one in _cut_as_before(size - helped, old, limit=most)]
        sizes = _until_gone(sizes, floor.stays(work.by) if work.began else 0)
        more = floor.calendar.ticks(max(work.high or 0, work.minutes)) - size
        for place, (ticks, helper) in enumerate(sizes):
            found.append(
                Piece(
                    car=car.key,
                    work=replace(work, began=False, by=()) if place else work,
                    number=sum(one.work.part is work.part for one in found),
                    size=ticks,
                    more=max(0, more) if place == len(sizes) - 1 else 0,
                    help=helper,
                )
            )
    return tuple(_numbered_as_before(found, before))


def _until_gone(
    sizes: list[tuple[int, Work | None]], here: int
) -> list[tuple[int, Work | None]]:
    """The first piece ends where somebody who is at it leaves."""
    (first, helper), *others = sizes
    if not 0 < here < first:
        return sizes
    return [(here, helper), (first - here, helper), *others]


def _cut(size: int, *, limit: int) -> list[int]:
    """Pieces of about the same size, none above the limit."""
    count = -(-size // max(1, limit))
    return [size // count + (place < size % count) for place in range(count)]


def _cut_as_before(size: int, old: Sequence[int], *, limit: int) -> list[int]:
    """The last pieces as in the plan in force.

    What is done comes off the first, and what it takes longer belongs to it.
    """
    kept: list[int] = []
    for one in reversed(old):
        if sum(kept) + one >= size or one > limit:
            break
        kept.insert(0, one)
    return [*_cut(size - sum(kept), limit=limit), *kept]


def _old_numbers(car: str, part: Part, before: Mapping[str, int]) -> list[int]:
    stem = step_key(car, part).removesuffix("0")
    return sorted(int(k.removeprefix(stem)) for k in before if k.startswith(stem))


def _old_sizes(car: str, part: Part, before: Mapping[str, int]) -> list[int]:
    """Ticks of the pieces of a part that follow the one that is next."""
    numbers = _old_numbers(car, part, before)
    sizes = [before[step_key(car, part, number)] for number in numbers]
    is_next = bool(numbers) and (numbers[0] == 0 or not sizes[0])
    return sizes[1:] if is_next else sizes


def _numbered_as_before(
    found: Sequence[Piece], before: Mapping[str, int]
) -> Iterator[Piece]:
    """Pieces keep their numbers though the first ones are done."""
    for piece in found:
        part = piece.work.part
        now = sum(each.work.part is part for each in found)
        old = _old_numbers(piece.car, part, before)
        shift = max([0, *(number + 1 - now for number in old)])
        yield replace(piece, number=piece.number + shift)
