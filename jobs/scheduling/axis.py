"""Opening time only: real time to ticks in which the shop is open, and back (pure).

Real time is a whole number on a clock that never jumps (minutes or quarter hours of
UTC); open windows are half-open. Tick t of the axis is the t-th open one, so the end of
one day and the start of the next share a number: read as an end it is closing time,
read as a start it is the next opening. Elapsed time (a cure) is counted in real time.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable
from datetime import datetime
from typing import TypeVar

from jobs.scheduling.problem import Interval, Run, Table, late_after
from jobs.scheduling.runs import table_of

Point = TypeVar("Point", int, datetime)


class Axis:
    """The open ticks of these windows; the past and what follows the last is shut.

    windows  real [open, close); put in order, those that touch become one
    tick     how much real time a tick is; ticks are laid from each opening, and what
             is left at closing is too short for one
    size     open ticks altogether
    days     for each window its ticks, half-open

    ValueError: a window closes before it opens.
    """

    def __init__(self, windows: Iterable[Interval], *, tick: int = 1) -> None:
        self.tick = tick
        self._begins: list[int] = []
        days: list[Interval] = []
        for opens, closes in joined(_checked(windows)):
            before = len(self._begins)
            self._begins += range(opens, closes - tick + 1, tick)
            if before < len(self._begins):
                days.append((before, len(self._begins)))
        self.size = len(self._begins)
        self.days = tuple(days)

    def ceil(self, real: int) -> int:
        """The first tick that begins then or later; `size` after the last."""
        return bisect_left(self._begins, real)

    def floor(self, real: int) -> int:
        """The last tick that, as an end, is reached by then."""
        return bisect_right(self._begins, real - self.tick)

    def start_of(self, tick: int) -> int:
        """The real time at which work beginning at a tick begins.

        ValueError outside of 0 to size - 1.
        """
        if not 0 <= tick < self.size:
            raise ValueError(f"the axis has no tick {tick}")
        return self._begins[tick]

    def end_of(self, tick: int) -> int:
        """The real time at which work ending at a tick stops: closing, not opening.

        0 is the first opening. ValueError outside of 0 to size.
        """
        return self.start_of(tick - 1) + self.tick if tick else self.start_of(0)

    def closed(self, absences: Iterable[Interval]) -> tuple[Interval, ...]:
        """Ticks that reach into an absence; in closed time there are none."""
        return joined(
            (self.floor(since), self.ceil(until)) for since, until in absences
        )

    def unbroken(self, size: int, *, since: int = 0) -> tuple[Interval, ...]:
        """Where work may begin that fits before closing; not before a tick."""
        least = max(size, 1)
        found = ((max(since, first), last - least + 1) for first, last in self.days)
        return tuple(each for each in found if each[0] < each[1])

    def paused(self, size: int, *, since: int = 0) -> tuple[Interval, ...]:
        """Where work may begin that goes on after closing; not before a tick."""
        last = self.size - max(size, 1) + 1
        return ((since, last),) if since < last else ()

    def after_end(self, elapsed: int) -> Table:
        """For an end: the first start when so much real time has passed since it.

        ceil[end_of[e] + elapsed]. Of a link, `start_by_end`; of a promise,
        `ready_by_end`. Beyond the last window the clock stands: windows must go well
        past what is planned.
        """
        return table_of(
            lambda tick: self.ceil(self.end_of(tick) + elapsed), self.size + 1
        )

    def after_start(self, elapsed: int) -> Table:
        """For a start: the first start when so much real time has passed since it.

        ceil[start_of[s] + elapsed]. Of an activity in elapsed time, `end_by_start`.
        """
        return table_of(
            lambda tick: self.ceil(self.start_of(tick) + elapsed), self.size
        )

    def late_by_start(self, promise: int) -> Table:
        """Lateness of a ready tick that is a start: the next moment the shop is open.

        Late if that moment is after the promise in real time; then the open ticks
        between the two, at least 1. A promise at closing that is ready the next
        morning is late.
        """
        last = self.floor(promise)
        if last < self.size and self.start_of(last) > promise:
            return _at_least_one(last)
        return late_after(last)

    def late_by_end(self, promise: int) -> Table:
        """Lateness of a ready tick that is an end: closing time is that same day."""
        if self.size and promise < self.start_of(0):
            return _at_least_one(0)
        return late_after(self.floor(promise))


def joined(pieces: Iterable[tuple[Point, Point]]) -> tuple[tuple[Point, Point], ...]:
    """Stretches in order, those that touch or overlap as one, empty ones left out.

    >>> joined([(5, 7), (1, 2), (2, 4), (3, 3)])
    ((1, 4), (5, 7))
    """
    found: list[tuple[Point, Point]] = []
    for first, until in sorted(each for each in pieces if each[0] < each[1]):
        if found and first <= found[-1][1]:
            found[-1] = (found[-1][0], max(found[-1][1], until))
        else:
            found.append((first, until))
    return tuple(found)


def _checked(windows: Iterable[Interval]) -> Iterable[Interval]:
    for opens, closes in windows:
        if closes < opens:
            raise ValueError(f"{opens} to {closes} ends before it begins")
        yield opens, closes


def _at_least_one(first: int) -> Table:
    """Lateness 1 from a tick on and at the next, then one more for each."""
    before = (Run(first=0, value=0, rise=0),) if first else ()
    return (
        *before,
        Run(first=first, value=1, rise=0),
        Run(first=first + 1, value=1, rise=1),
    )
