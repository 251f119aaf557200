"""One strip, every search in turn: what is exact, orders, bands, the closer (pure)."""

from __future__ import annotations

import math
import time
from dataclasses import dataclass, replace

from jobs.nesting.exact import MOST_SPLITS, QUICK_SPLITS, shortest_by_knife, splits
from jobs.nesting.exchange import exchange
from jobs.nesting.exchange import is_for as is_for_exchange
from jobs.nesting.prover import Prover
from jobs.nesting.search import Packing, Strip, improve

CLOSER_SHARE = 0.4
"""Part of the time kept for the closer on small jobs."""
EXACT_SHARE = 0.4
"""Part of the time that trying every way to part few blanks may take."""
ORDER_SHARE = 0.25
"""Part of the search that goes to orders where blanks then change their bands."""


@dataclass(frozen=True, kw_only=True)
class Effort:
    """What a search may use: tries, seed, and the moment the clock says stop."""

    tries: int
    seed: int
    deadline: float
    prover: Prover

    def slice(self, *, tries: int, stages: int) -> Effort:
        """Some of the tries, and an equal part of the time left for each stage."""
        return self.within(tries=tries, share=1 / stages)

    def within(self, *, tries: int, share: float) -> Effort:
        """Some of the tries, and a part of the time left."""
        now = time.monotonic()
        end = now + share * max(0.0, self.deadline - now)
        return replace(self, tries=tries, deadline=end)


def search_strip(strip: Strip, start: Packing, *, effort: Effort) -> Packing:
    """The shortest plan that the effort buys, never longer than `start`."""
    prover = effort.prover
    found = _exact(strip, start, effort=effort)
    if not effort.tries:
        return found
    bound = prover.bound(strip)
    if not found.knife_best:
        kept = CLOSER_SHARE if prover.wants_to_close(strip) else 0.0
        spent = effort.within(tries=effort.tries, share=1 - kept)
        found = _searched(strip, start, bound=bound, effort=spent)
    return prover.close(strip, found, tries=effort.tries, deadline=effort.deadline)


def _searched(strip: Strip, start: Packing, *, bound: int, effort: Effort) -> Packing:
    """The order search; with a knife, few blanks a band then change their bands."""
    by_bands = is_for_exchange(strip, start)
    share = ORDER_SHARE if by_bands else 1.0
    orders = effort.within(tries=math.ceil(effort.tries * share), share=share)
    found = improve(
        strip,
        start,
        bound=bound,
        tries=orders.tries,
        seed=orders.seed,
        deadline=orders.deadline,
    )
    if not by_bands:
        return found
    return exchange(
        strip,
        replace(found, cut_short=False),
        bound=bound,
        tries=max(0, effort.tries - found.tries),
        seed=effort.seed,
        deadline=effort.deadline,
    )


def _exact(strip: Strip, found: Packing, *, effort: Effort) -> Packing:
    """With a knife and few blanks, every way to part them; each strip once a plan."""
    most = MOST_SPLITS if effort.tries else QUICK_SPLITS
    if not strip.knife or not found.complete or splits(strip) > most:
        return found
    shortest = effort.prover.shortest
    if strip not in shortest:
        until = effort.within(tries=effort.tries, share=EXACT_SHARE).deadline
        tried = shortest_by_knife(strip, found, deadline=until)
        if not tried.knife_best:
            return found
        shortest[strip] = tried
    return shortest[strip]
