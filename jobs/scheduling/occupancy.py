"""Who is taken when, as one big integer a resource: bit t is tick t (pure).

"Taken anywhere in [t, t + p)" for every t at once is then log2(p) shifts, and "at
least m of these are free" is m running masks. A negative integer has ones for ever,
so "nothing is allowed after the last window" needs no end of the axis.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from jobs.scheduling.problem import Interval

Layers = tuple[int, ...]
"""The k-th: ticks in which at least k + 1 of the capacity is taken."""
Copy = tuple[list[Layers], list[dict[tuple[int, int], int]]]


def mask(start: int, end: int) -> int:
    """Ones from start up to and without end."""
    return ((1 << (end - start)) - 1) << start if start < end else 0


def masks(intervals: Iterable[Interval]) -> int:
    """Ones in all of these."""
    total = 0
    for start, end in intervals:
        total |= mask(max(0, start), end)
    return total


def spread(busy: int, size: int) -> int:
    """Starts t for which [t, t + size) meets a one.

    >>> bin(spread(0b10000, 3))
    '0b11100'
    """
    if size <= 0:
        return 0
    done = 1
    while done < size:
        step = min(done, size - done)
        busy |= busy >> step
        done += step
    return busy


def first_free(blocked: int, at: int) -> int | None:
    """The first tick from `at` on that is not blocked; None if there is none."""
    free = ~(blocked >> at)
    return at + (free & -free).bit_length() - 1 if free else None


def last_free(blocked: int, at: int, until: int) -> int | None:
    """The last tick of [at, until] that is not blocked; None if there is none."""
    free = ~blocked & mask(at, until + 1)
    return free.bit_length() - 1 if free else None


def all_but(blocked: Sequence[int], count: int) -> int:
    """Ticks in which fewer than `count` of these are free."""
    if count <= 0:
        return 0
    if count > len(blocked):
        return -1
    if count == 1:
        total = -1
        for one in blocked:
            total &= one
        return total
    enough = [0] * count
    for one in blocked:
        free = ~one
        for place in range(count - 1, 0, -1):
            enough[place] |= enough[place - 1] & free
        enough[0] |= free
    return ~enough[-1]


class Occupancy:
    """What is taken of each resource; resources are numbers from 0."""

    def __init__(self, *, capacities: Sequence[int], closed: Sequence[int]) -> None:
        self._layers: list[Layers] = [
            (shut,) * capacity
            for capacity, shut in zip(capacities, closed, strict=True)
        ]
        self._spread: list[dict[tuple[int, int], int]] = [{} for _ in capacities]

    def copy(self) -> Copy:
        """What `restore` takes back to."""
        return self._layers[:], self._spread[:]

    def restore(self, kept: Copy) -> None:
        """Back to a copy; the copy stays good."""
        self._layers, self._spread = kept[0][:], kept[1][:]

    def busy(self, resource: int, demand: int) -> int:
        """Ticks in which so much of it is not to be had."""
        layers = self._layers[resource]
        if demand <= 0:
            return 0
        return layers[-demand] if demand <= len(layers) else -1

    def blocked(self, resource: int, demand: int, size: int) -> int:
        """Starts at which so much of it is not to be had for so long."""
        known = self._spread[resource]
        found = known.get((demand, size))
        if found is None:
            found = known[demand, size] = spread(self.busy(resource, demand), size)
        return found

    def take(self, resource: int, demand: int, start: int, end: int) -> None:
        """Take so much of it from start up to end."""
        if start >= end or demand <= 0:
            return
        bits = mask(start, end)
        old = self._layers[resource]
        self._layers[resource] = tuple(
            layer | (bits if place < demand else old[place - demand] & bits)
            for place, layer in enumerate(old)
        )
        self._spread[resource] = {}

    def give_back(self, resource: int, demand: int, start: int, end: int) -> None:
        """The other way round: so much of it was taken from start up to end."""
        if start >= end or demand <= 0:
            return
        bits = mask(start, end)
        old = self._layers[resource]
        more = (*old[demand:], *[0] * demand)
        self._layers[resource] = tuple(
            (layer & ~bits) | (higher & bits)
            for layer, higher in zip(old, more[: len(old)], strict=True)
        )
        self._spread[resource] = {}
