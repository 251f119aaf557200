"""Bounds and the closer for one call, each strip proved once (pure).

The engine is imported here and only here, inside the functions that need it: a quick
plan runs without it, and without an engine the search still runs.
"""

from __future__ import annotations

import time
from dataclasses import dataclass, field
from importlib.metadata import version

from jobs.nesting.bounds import quick_bound_mm
from jobs.nesting.search import Packing, Strip

MAX_BOUND_BLANKS = 120
MAX_CLOSER_BLANKS = 20
MAX_BOUND_SHARE = 0.2
"""Part of the time left that one bound may take."""
MAX_CLOSER_WORK = 3.0
TRIES_PER_WORK = 3000
"""Tries that buy one unit of the closer's deterministic time."""


def warm() -> bool:
    """Load the engine before it is needed; whether there is one. It takes seconds."""
    try:
        import jobs.nesting.barbound
        import jobs.nesting.closer  # noqa: F401
    except ImportError:
        return False
    return True


Key = tuple[tuple[tuple[int, int], ...], tuple[bool, ...], int]


@dataclass(kw_only=True)
class Prover:
    """What is proven so far, and what may still be spent on proofs.

    tries     0: quick bounds only, no engine
    worth     what each blank adds to a roll at least, by strip
    shortest  knife plans that cannot be shorter, by strip
    late      the clock ended a proof early
    """

    tries: int
    seed: int
    deadline: float
    known: dict[Key, int] = field(default_factory=dict)
    worth: dict[Key, tuple[float, ...]] = field(default_factory=dict)
    shortest: dict[Strip, Packing] = field(default_factory=dict)
    late: bool = False
    engines: set[str] = field(default_factory=set)

    def bound(self, strip: Strip) -> int:
        """Length of inflated blanks that no plan on this width goes below."""
        key = (strip.sizes, strip.may_turn, strip.width)
        if key not in self.known:
            self.known[key], self.worth[key] = self._bound(strip)
        return self.known[key]

    def worths(self, strip: Strip) -> tuple[float, ...]:
        """What each blank adds to the roll at least, wherever the others lie."""
        self.bound(strip)
        return self.worth[(strip.sizes, strip.may_turn, strip.width)]

    def _bound(self, strip: Strip) -> tuple[int, tuple[float, ...]]:
        by_area = tuple(w * h / strip.width for w, h in strip.sizes)
        quick = quick_bound_mm(
            sizes=strip.sizes, may_turn=strip.may_turn, width_mm=strip.width
        )
        if not self.tries or not 0 < len(strip.sizes) <= MAX_BOUND_BLANKS:
            return quick, by_area
        now = time.monotonic()
        deadline = now + MAX_BOUND_SHARE * max(0.0, self.deadline - now)
        try:
            from jobs.nesting.barbound import bar_worths
        except ImportError:
            return quick, by_area
        bound, worths = bar_worths(
            sizes=strip.sizes,
            may_turn=strip.may_turn,
            width_mm=strip.width,
            deadline=deadline,
        )
        self.late |= time.monotonic() > deadline
        self.engines.add("bar bound")
        return max(quick, bound), worths

    def versions(self) -> list[str]:
        """Version of the engine, if one had a part in the plan."""
        return [version("ortools")] if self.engines else []

    def wants_to_close(self, strip: Strip) -> bool:
        """Whether the closer will be tried if the search leaves this strip open."""
        return self.tries > 0 and len(strip.sizes) <= MAX_CLOSER_BLANKS

    def close(
        self, strip: Strip, found: Packing, *, tries: int, deadline: float
    ) -> Packing:
        """An exact attempt on a small strip that is still above its bound."""
        bound = self.bound(strip)
        if not self.wants_to_close(strip) or not found.complete or found.top <= bound:
            return found
        try:
            from jobs.nesting.closer import close
        except ImportError:
            return found
        found, bound = close(
            strip,
            found,
            bound=bound,
            seed=self.seed,
            work=min(MAX_CLOSER_WORK, tries / TRIES_PER_WORK),
            deadline=deadline,
        )
        self.known[(strip.sizes, strip.may_turn, strip.width)] = bound
        self.engines.add("cp-sat")
        return found
