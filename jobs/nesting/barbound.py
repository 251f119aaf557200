"""The bar bound: a proof that needs a linear solver (pure).

Imported only when a search is wanted; a quick plan never loads it. numpy comes with
the engine.
"""

from __future__ import annotations

import time
from collections.abc import Sequence

import numpy as np
import numpy.typing as npt
from ortools.linear_solver import pywraplp

from jobs.nesting.bounds import Size, lies, next_length_mm, quick_bound_mm

MAX_WORK = 30_000
"""Blanks times rounds; more is not worth its time, and the clock stays out of it."""
TINY = 1e-6

Floats = npt.NDArray[np.float64]


def bar_worths(
    *,
    sizes: Sequence[Size],
    may_turn: Sequence[bool],
    width_mm: int,
    deadline: float,
) -> tuple[int, tuple[float, ...]]:
    """Length that no plan on one strip can go below, and each blank's worth in it, mm.

        max over u of sum(min over turns(u * l)) / max(1, best knapsack of u in W)

    Each blank is cut into strips of unit length; a cross-section of the roll is a set
    of different blanks whose widths fit. Prices u come from a linear program, rows as
    needed; the value is a valid bound in every round, so stopping early is safe.
    However some of the blanks lie on the roll, it is at least as long as their worths
    together: the prices that prove the whole prove every part of it.

    sizes     (width, length) of each blank, gap included, mm; each fits the strip
    may_turn  whether each blank may lie turned
    width_mm  usable width plus one gap, mm
    deadline  `time.monotonic` at which to stop
    Not for:  a job that may also use off-cuts.
    Source:   bar relaxation after Scheithauer (cited from memory); checked against
              brute force in the tests.

    >>> bar_worths(sizes=[(6, 5), (6, 7), (5, 3)], may_turn=[0, 0, 0], width_mm=10,
    ...            deadline=float("inf"))[0]
    15
    """
    bound = quick_bound_mm(sizes=sizes, may_turn=may_turn, width_mm=width_mm)
    best: tuple[float, ...] = tuple(w * h / width_mm for w, h in sizes)
    ways = [
        lies(size, may_turn=turn, width_mm=width_mm)
        for size, turn in zip(sizes, may_turn, strict=True)
    ]
    program = _Prices(ways, width_mm)
    for _ in range(MAX_WORK // max(1, len(sizes))):
        prices = program.solve()
        if prices is None:
            break
        value, section = _best_section(ways, prices, width_mm)
        worths = [
            min(u * h for u, (_, h) in zip(us, way, strict=True)) / max(1.0, value)
            for us, way in zip(prices, ways, strict=True)
        ]
        # Rounded down by more than the floats can be wrong.
        proven = sum(worths)
        if proven > sum(best):
            best = tuple(worths)
        bound = max(bound, int(-(-(proven - TINY * max(1.0, proven)) // 1)))
        if value <= 1 + TINY or time.monotonic() > deadline:
            break
        program.forbid(section)
    return next_length_mm(bound, sizes=sizes, may_turn=may_turn), best


class _Prices:
    """The dual program: prices u by blank and turn, at most 1 in a cross-section."""

    def __init__(self, ways: Sequence[Sequence[Size]], width: int) -> None:
        self.solver = solver = pywraplp.Solver.CreateSolver("GLOP")
        self.prices = [[solver.NumVar(0, 1, "") for _ in way] for way in ways]
        worth = []
        for us, way in zip(self.prices, ways, strict=True):
            least = solver.NumVar(0, max(h for _, h in way), "")
            for u, (_, h) in zip(us, way, strict=True):
                solver.Add(least <= h * u)
            worth.append(least)
        solver.Maximize(solver.Sum(worth))
        for section in _first_sections(ways, width):
            self.forbid(section)

    def forbid(self, section: Sequence[tuple[int, int]]) -> None:
        """Prices of the blanks in one cross-section add up to at most 1."""
        self.solver.Add(self.solver.Sum(self.prices[i][t] for i, t in section) <= 1)

    def solve(self) -> list[list[float]] | None:
        if self.solver.Solve() != pywraplp.Solver.OPTIMAL:
            return None
        return [[max(0.0, u.solution_value()) for u in us] for us in self.prices]


def _first_sections(
    ways: Sequence[Sequence[Size]], width: int
) -> list[list[tuple[int, int]]]:
    """Greedy cross-sections, so that the first prices are not absurd."""
    entries = [(w, i, t) for i, way in enumerate(ways) for t, (w, _) in enumerate(way)]
    entries.sort(key=lambda entry: (-entry[0], entry[1:]))
    sections = []
    for at in range(len(entries)):
        room, taken, section = width, set(), []
        for w, i, t in entries[at:]:
            if w <= room and i not in taken:
                room -= w
                taken.add(i)
                section.append((i, t))
        sections.append(section)
    return sections


def _best_section(
    ways: Sequence[Sequence[Size]], prices: Sequence[Sequence[float]], width: int
) -> tuple[float, list[tuple[int, int]]]:
    """The dearest set of different blanks, each one way, that fits the width."""
    best: Floats = np.zeros(width + 1)
    choice = np.full((len(ways), width + 1), -1, dtype=np.int8)
    for i, way in enumerate(ways):
        before = best.copy()
        for t, (w, _) in enumerate(way):
            if prices[i][t] > 0:
                offer = before[: width + 1 - w] + prices[i][t]
                better = offer > best[w:]
                best[w:][better] = offer[better]
                choice[i, w:][better] = t
    section, room = [], width
    for i in range(len(ways) - 1, -1, -1):
        if (t := int(choice[i, room])) >= 0:
            section.append((i, t))
            room -= ways[i][t][0]
    return float(best[width]), section
