"""Tables made of runs, and cut into pieces for the engine: a line each (pure)."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from jobs.scheduling.problem import Run, Table


@dataclass(frozen=True, kw_only=True)
class Piece:
    """From `low` up to and with `high`: `value` at `low`, then `rise` more a tick."""

    low: int
    high: int
    value: int
    rise: int

    @property
    def last(self) -> int:
        """The value at `high`."""
        return self.value + self.rise * (self.high - self.low)

    @property
    def ahead(self) -> int:
        """By how much the value is ahead of the tick at `low`."""
        return self.value - self.low


def table_of(value: Callable[[int], int], count: int) -> Table:
    """The runs of a function that never falls, for 0 to `count` and on from there.

    >>> [(run.first, run.value, run.rise) for run in table_of(lambda at: at // 4, 8)]
    [(0, 0, 0), (4, 1, 0), (8, 8, 1)]
    """
    flats: list[tuple[int, int]] = []
    known: dict[int, int] = {}

    def at(tick: int) -> int:
        if tick not in known:
            known[tick] = value(tick)
        return known[tick]

    spans = [(0, count - 1)] if count else []
    while spans:
        low, high = spans.pop()
        if at(low) == at(high):
            if not flats or flats[-1][1] != at(low):
                flats.append((low, at(low)))
            continue
        middle = (low + high) // 2
        spans += [(middle + 1, high), (low, middle)]
    return (
        *_runs(flats, count),
        Run(first=count, value=max(count, _last(flats)), rise=1),
    )


def _last(flats: list[tuple[int, int]]) -> int:
    return flats[-1][1] if flats else 0


def _runs(flats: list[tuple[int, int]], count: int) -> Iterator[Run]:
    """Flat pieces as runs; those of one tick that rise by one are one rising run."""
    place = 0
    ends = [first for first, _ in flats[1:]] + [count]
    while place < len(flats):
        first, value = flats[place]
        stop = place
        while (
            stop + 1 < len(flats)
            and ends[stop] - flats[stop][0] == 1
            and flats[stop + 1][1] == flats[stop][1] + 1
            and ends[stop + 1] - flats[stop + 1][0] == 1
        ):
            stop += 1
        yield Run(first=first, value=value, rise=int(stop > place))
        place = stop + 1


def pieces(table: Table, low: int, high: int) -> tuple[Piece, ...]:
    """The table between two ticks, both included; empty where it begins later."""
    ends = [run.first - 1 for run in table[1:]]
    cut = [
        Piece(
            low=max(run.first, low),
            high=min(end, high),
            value=run.value + run.rise * max(0, low - run.first),
            rise=run.rise,
        )
        for run, end in zip(table, [*ends, high], strict=True)
        if max(run.first, low) <= min(end, high)
    ]
    return tuple(_joined(cut))


def composed(inner: tuple[Piece, ...], table: Table) -> tuple[Piece, ...]:
    """The table looked up at the values of pieces, over the ticks of these.

    >>> from jobs.scheduling.problem import Run, late_after
    >>> ready = pieces((Run(first=0, value=3, rise=1),), 0, 4)
    >>> composed(ready, late_after(5))
    (Piece(low=0, high=1, value=0, rise=0), Piece(low=2, high=4, value=0, rise=1))
    """
    found = []
    for piece in inner:
        for part in pieces(table, piece.value, piece.last):
            back = -piece.ahead
            found.append(
                Piece(
                    low=part.low + back if piece.rise else piece.low,
                    high=part.high + back if piece.rise else piece.high,
                    value=part.value,
                    rise=part.rise if piece.rise else 0,
                )
            )
    return tuple(_joined(found))


def lowest(parts: tuple[Piece, ...]) -> int:
    """The least value of pieces."""
    return min(part.value for part in parts)


def highest(parts: tuple[Piece, ...]) -> int:
    """The greatest value of pieces."""
    return max(part.last for part in parts)


def least_ahead(parts: tuple[Piece, ...]) -> int:
    """The least of value less tick, over all ticks of pieces."""
    return min(min(part.ahead, part.last - part.high) for part in parts)


def _joined(parts: list[Piece]) -> Iterator[Piece]:
    """Neighbours on one line become one piece."""
    held: Piece | None = None
    for part in parts:
        if held and _on_one_line(held, part):
            held = Piece(low=held.low, high=part.high, value=held.value, rise=held.rise)
        else:
            if held:
                yield held
            held = part
    if held:
        yield held


def _on_one_line(first: Piece, then: Piece) -> bool:
    if first.high + 1 != then.low or first.rise != then.rise:
        return False
    return first.last + first.rise == then.value
