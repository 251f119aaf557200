"""CP-SAT as a closer and prover for small jobs (pure).

Imported only when a small job is left open by the search. The model is written in
the engine's own text form: its usual Python layer loads a table library that takes
seconds, more than most plans.
"""

from __future__ import annotations

import time
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from ortools.sat.python import cp_model_helper as engine

from jobs.nesting.bounds import Size
from jobs.nesting.search import Packing, Strip


def close(
    strip: Strip,
    found: Packing,
    *,
    bound: int,
    seed: int,
    work: float,
    deadline: float,
) -> tuple[Packing, int]:
    """Shorten or prove a small plan with CP-SAT: (plan, proven bound).

    work  deterministic time, in the engine's own unit, about a second
    For a knife strip the plan stays and only the bound may rise.
    """
    wall = deadline - time.monotonic()
    if wall <= 0:
        return replace(found, cut_short=True), bound
    model = engine.CpModelProto()
    model.parse_text_format(_Model(strip, found, bound).text())
    settings = engine.SatParameters()
    settings.num_workers = 1
    settings.random_seed = seed % (1 << 31)
    settings.max_deterministic_time = work
    settings.max_time_in_seconds = wall
    solver = engine.SolveWrapper()
    solver.set_parameters(settings)
    answer = solver.solve(model)  # type: ignore[no-untyped-call]
    if answer.status == engine.INFEASIBLE:
        return found, found.top
    proven = answer.status == engine.OPTIMAL
    late = not proven and answer.wall_time >= wall
    found = replace(found, cut_short=found.cut_short or late)
    if not proven and answer.status != engine.FEASIBLE:
        return found, bound
    # Rounded up from just below: the engine's bound is a float.
    bound = max(bound, int(-(-(answer.best_objective_bound - 1e-6) // 1)))
    if strip.knife:
        return found, min(bound, found.top)
    closed = _packing(list(answer.solution), len(strip.sizes), found)
    return closed, min(bound, closed.top)


def _packing(values: Sequence[int], blanks: int, found: Packing) -> Packing:
    """Variables are: top, then x, y, turned, right and far end of each blank."""
    placed = []
    for i in range(blanks):
        x, y, turned = values[1 + 5 * i : 4 + 5 * i]
        placed.append((i, int(x), int(y), bool(turned)))
    return replace(found, placed=tuple(placed), top=int(values[0]), closed=True)


@dataclass
class _Model:
    """One strip in the engine's text form: only plans shorter than the one found."""

    strip: Strip
    found: Packing
    bound: int
    parts: list[str] = field(default_factory=list)

    def text(self) -> str:
        n = len(self.strip.sizes)
        limit = self.found.top - 1
        self._variable(self.bound, limit)
        for turn in self.strip.may_turn:
            self._variable(0, self.strip.width)
            self._variable(0, limit)
            self._variable(0, int(turn))
            self._variable(0, self.strip.width)
            self._variable(0, limit)
        for i, (w, h) in enumerate(self.strip.sizes):
            self._blank(1 + 5 * i, w, h)
        self._together(n)
        self._order_equal_blanks()
        self._hint()
        self.parts.append("objective { vars: 0 coeffs: 1 }")
        return "\n".join(self.parts)

    def _variable(self, low: int, high: int) -> None:
        self.parts.append(f"variables {{ domain: [{low}, {high}] }}")

    def _linear(self, terms: Sequence[tuple[int, int]], low: int, high: int) -> None:
        """low <= sum of variable * coefficient <= high."""
        names = ", ".join(str(name) for name, _ in terms)
        factors = ", ".join(str(factor) for _, factor in terms)
        self.parts.append(
            f"constraints {{ linear {{ vars: [{names}] coeffs: [{factors}] "
            f"domain: [{low}, {high}] }} }}"
        )

    def _blank(self, x: int, w: int, h: int) -> None:
        """Intervals across and along; turned swaps the sides."""
        y, turned, right, far = x + 1, x + 2, x + 3, x + 4
        for start, end, side, other in ((x, right, w, h), (y, far, h, w)):
            size = _affine(turned, other - side, side)
            self.parts.append(
                f"constraints {{ interval {{ start {{ {_affine(start, 1, 0)} }} "
                f"size {{ {size} }} end {{ {_affine(end, 1, 0)} }} }} }}"
            )
            self._linear([(end, 1), (start, -1), (turned, side - other)], side, side)
        self._linear([(0, 1), (far, -1)], 0, self.found.top)

    def _together(self, n: int) -> None:
        """No overlap, and the sums of widths and of lengths stay inside.

        The constraints of blank i begin at 5 * i: across, its sum, along, its sum.
        """
        across = [5 * i for i in range(n)]
        along = [5 * i + 2 for i in range(n)]
        self.parts.append(
            f"constraints {{ no_overlap_2d {{ x_intervals: {across} "
            f"y_intervals: {along} }} }}"
        )
        for intervals, capacity, swap in (
            (along, f"offset: {self.strip.width}", False),
            (across, _affine(0, 1, 0), True),
        ):
            demands = ""
            for i, (w, h) in enumerate(self.strip.sizes):
                side, other = (h, w) if swap else (w, h)
                demands += f"demands {{ {_affine(3 + 5 * i, other - side, side)} }} "
            self.parts.append(
                f"constraints {{ cumulative {{ capacity {{ {capacity} }} "
                f"intervals: {intervals} {demands}}} }}"
            )

    def _alike(self) -> list[list[int]]:
        alike: dict[tuple[Size, bool], list[int]] = defaultdict(list)
        strip = self.strip
        for i, key in enumerate(zip(strip.sizes, strip.may_turn, strict=True)):
            alike[key].append(i)
        return list(alike.values())

    def _order_equal_blanks(self) -> None:
        for some in self._alike():
            for a, b in zip(some, some[1:], strict=False):
                self._linear([(2 + 5 * b, 1), (2 + 5 * a, -1)], 0, self.found.top)

    def _hint(self) -> None:
        where = {i: (x, y, int(turned)) for i, x, y, turned in self.found.placed}
        names: list[int] = []
        values: list[int] = []
        for some in self._alike():
            in_order = sorted((where[i] for i in some), key=lambda place: place[1])
            for i, place in zip(some, in_order, strict=True):
                names += [1 + 5 * i, 2 + 5 * i, 3 + 5 * i]
                values += place
        self.parts.append(f"solution_hint {{ vars: {names} values: {values} }}")


def _affine(variable: int, factor: int, offset: int) -> str:
    if not factor:
        return f"offset: {offset}"
    return f"vars: {variable} coeffs: {factor} offset: {offset}"
