"""Opening time only: real ticks to ticks in which the shop is open, and back (pure).

A real tick is a whole number on a clock that never jumps (quarter hours of UTC); open
windows are half-open. Tick t of the axis is the t-th open one, so the end of one day
and the start of the next share a number: read as an end it is closing time, read as a
start it is the next opening. Elapsed time (a cure) is counted on the real clock.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable

from jobs.scheduling.problem import Interval, Run, Table, late_after


def ticks_up(amount: int, per_tick: int) -> int:
    """A duration in ticks, a begun one counted whole.

    >>> ticks_up(31, 15)
    3
    """
    return -(-amount // per_tick)


def ticks_down(amount: int, per_tick: int) -> int:
    """A promise in ticks: the last one that has begun by then."""
    return amount // per_tick


class Axis:
    """The open ticks of these windows; the past and what follows the last is shut.

    windows  real [open, close); put in order, those that touch become one
    size     open ticks altogether

    ValueError: there is no window, or one closes before it opens.
    """

    def __init__(self, windows: Iterable[Interval]) -> None:
        self.windows = _joined(windows)
        if not self.windows:
            raise ValueError("the shop never opens")
        self._opens = [first for first, _ in self.windows]
        self._firsts = [0]
        for first, until in self.windows:
            self._firsts.append(self._firsts[-1] + until - first)
        self.size = self._firsts.pop()

    def ceil(self, real: int) -> int:
        """The first tick that begins at or after a real one; `size` after the last.

        How many open ticks lie before it. For whole real ticks that is `floor` too.
        """
        place = bisect_right(self._opens, real) - 1
        if place < 0:
            return 0
        first, until = self.windows[place]
        return self._firsts[place] + min(real, until) - first

    def floor(self, real: int) -> int:
        """The last tick that, as an end, is reached at or before a real one."""
        return self.ceil(real)

    def start_of(self, tick: int) -> int:
        """The real tick at which work beginning at a tick begins.

        ValueError outside of 0 to size - 1.
        """
        if not 0 <= tick < self.size:
            raise ValueError(f"the axis has no tick {tick}")
        place = bisect_right(self._firsts, tick) - 1
        return self._opens[place] + tick - self._firsts[place]

    def end_of(self, tick: int) -> int:
        """The real tick at which work ending at a tick stops: closing, not opening.

        0 is the first opening. ValueError outside of 0 to size.
        """
        return self.start_of(tick - 1) + 1 if tick else self.start_of(0)

    def pieces(self, start: int, end: int) -> tuple[Interval, ...]:
        """The real times of work from tick to tick: a piece for each day."""
        first, last = self.start_of(start), self.end_of(end)
        return tuple(
            (max(first, opened), min(last, shut))
            for opened, shut in self.windows
            if max(first, opened) < min(last, shut)
        )

    def closed(self, absences: Iterable[Interval]) -> tuple[Interval, ...]:
        """Real times of absence as ticks; what lies in closed time falls away."""
        found = ((self.ceil(first), self.ceil(until)) for first, until in absences)
        return _joined(each for each in found if each[0] < each[1])

    def unbroken(self, size: int, *, since: int | None = None) -> tuple[Interval, ...]:
        """Where work may begin that fits before closing; not before a real tick."""
        at = 0 if since is None else self.ceil(since)
        found = (
            (max(at, first), first + until - opened - max(size, 1) + 1)
            for first, (opened, until) in zip(self._firsts, self.windows, strict=True)
        )
        return tuple(each for each in found if each[0] < each[1])

    def paused(self, size: int, *, since: int | None = None) -> tuple[Interval, ...]:
        """Where work may begin that goes on after closing; not before a real tick."""
        at = 0 if since is None else self.ceil(since)
        last = self.size - max(size, 1) + 1
        return ((at, last),) if at < last else ()

    def after_end(self, elapsed: int) -> Table:
        """For an end: the first start when so many real ticks have passed since it.

        ceil[end_of[e] + elapsed]. Of a link, `start_by_end`; of a promise,
        `ready_by_end`. Beyond the last window the clock stands: windows must go well
        past what is planned.
        """
        return self._table(elapsed, shift=1)

    def after_start(self, elapsed: int) -> Table:
        """For a start: the first start when so many real ticks have passed since it.

        ceil[start_of[s] + elapsed]. Of an activity in elapsed time, `end_by_start`.
        """
        return self._table(elapsed, shift=0)

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
        if promise < self.start_of(0):
            return _at_least_one(0)
        return late_after(self.floor(promise))

    def scaled(self, factor: int) -> Axis:
        """The same shop on a finer clock: all times so many times as long."""
        return Axis((first * factor, until * factor) for first, until in self.windows)

    def _table(self, elapsed: int, *, shift: int) -> Table:
        """Runs that rise while the shop is open so much later, and stand else.

        shift  1 where ticks are ends: a day's ends begin one tick after its opening
        """
        runs: list[Run] = []
        for first, (opened, until) in zip(self._firsts, self.windows, strict=True):
            begin = first + (shift if first else 0)
            end = first + until - opened + shift
            later = opened - first + elapsed
            for tick in self._cuts(begin, end, later):
                real = tick + later
                rise = int(self.ceil(real + 1) > self.ceil(real))
                _add(runs, Run(first=tick, value=self.ceil(real), rise=rise))
        past = self.size + shift
        _add(runs, Run(first=past, value=past, rise=1))
        return tuple(runs)

    def _cuts(self, begin: int, end: int, later: int) -> list[int]:
        """Ticks of [begin, end) at which, so much later, the shop opens or shuts."""
        place = max(0, bisect_right(self._opens, begin + later) - 1)
        found = {begin}
        for opened, until in self.windows[place:]:
            if opened - later >= end:
                break
            found.update((opened - later, until - later))
        return sorted(tick for tick in found if begin <= tick < end)


def _add(runs: list[Run], run: Run) -> None:
    """The run behind the others, as part of the last where it goes on like it."""
    if runs:
        last = runs[-1]
        reached = last.value + last.rise * (run.first - last.first)
        if reached == run.value and last.rise == run.rise:
            return
    runs.append(run)


def _at_least_one(first: int) -> Table:
    """Lateness 1 from a tick on and at the next, then one more for each."""
    before = (Run(first=0, value=0, rise=0),) if first else ()
    return (
        *before,
        Run(first=first, value=1, rise=0),
        Run(first=first + 1, value=1, rise=1),
    )


def _joined(intervals: Iterable[Interval]) -> tuple[Interval, ...]:
    """In order; those that touch or overlap as one."""
    found: list[Interval] = []
    for first, until in sorted(intervals):
        if until < first:
            raise ValueError(f"{first} to {until} ends before it begins")
        if found and first <= found[-1][1]:
            found[-1] = (found[-1][0], max(found[-1][1], until))
        elif first < until:
            found.append((first, until))
    return tuple(found)
