"""Film is cut on a day before the car comes, where one is left (pure)."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from jobs.plan.chain import Chain
from jobs.plan.pieces import Floor
from jobs.plan.pins import Bound
from jobs.plan.shop import Part


def pin_cuts(chains: Sequence[Chain], *, bound: Bound, floor: Floor) -> None:
    """Each as late as may be before the day of its car; the latest car first.

    What finds no room there is only cut before its film is laid.
    """
    waiting = [
        (chain, key)
        for chain in chains
        if not chain.here
        for key in chain.keys_of(Part.CUT)
        if not chain.pieces[key].work.began
    ]
    waiting.sort(key=lambda one: (-_day_of(one[0], floor), one[1]))
    for chain, key in waiting:
        activity = chain.activities[key]
        cutters = [one.resource for need in activity.needs for one in need.choices]
        until = _day_of(chain, floor)
        spots = (
            (start, cutter)
            for start in _backwards(activity.starts or (), until - activity.size)
            for cutter in cutters
            if bound.is_free((cutter,), start, start + activity.size)
        )
        found = next(spots, None)
        if found:
            start, cutter = found
            bound.take((cutter,), start, start + activity.size)
            chain.activities[key] = replace(
                activity, fixed_start=start, pinned=(cutter,)
            )


def _day_of(chain: Chain, floor: Floor) -> int:
    """The first tick of the day on which the car comes."""
    days = floor.calendar.days
    return max((a for a, _ in days if a <= chain.release), default=0)


def _backwards(starts: Sequence[tuple[int, int]], last: int) -> Iterator[int]:
    for first, until in reversed(starts):
        yield from range(min(until - 1, last), first - 1, -1)
