"""Expressions of the engine that follow a table, run by run (pure)."""

from __future__ import annotations

from typing import Any

from jobs.scheduling.runs import Piece, least_ahead, lowest

Number = Any
"""An integer, or an expression of the engine."""


def at_least(model: Any, at: Number, value: Number, parts: tuple[Piece, ...]) -> None:
    """`value` is no less than the table at `at`, by as few Booleans as can be.

    A line that is nowhere above the table holds everywhere and needs no Boolean.
    """
    floor, ahead = lowest(parts), least_ahead(parts)
    model.add(value >= floor)
    model.add(value >= at + ahead)
    steep = [
        part
        for part in parts
        if (part.ahead > ahead if part.rise else part.value > floor)
    ]
    if not steep:
        _within(model, at, parts)
        return
    for part, here in _chosen(model, at, parts):
        line = at + part.ahead if part.rise else part.value
        if part in steep:
            _only_if(model.add(value >= line), here)


def exactly(model: Any, at: Number, value: Number, parts: tuple[Piece, ...]) -> None:
    """`value` is the table at `at`."""
    model.add(value >= at + least_ahead(parts))
    for part, here in _chosen(model, at, parts):
        line = at + part.ahead if part.rise else part.value
        _only_if(model.add(value == line), here)


def _chosen(
    model: Any, at: Number, parts: tuple[Piece, ...]
) -> list[tuple[Piece, Number]]:
    """Each piece with the Boolean that says that `at` lies in it."""
    if len(parts) == 1:
        _within(model, at, parts)
        return [(parts[0], 1)]
    found = [(part, model.new_bool_var(f"run from {part.low}")) for part in parts]
    for part, here in found:
        _only_if(model.add_linear_constraint(at, part.low, part.high), here)
    model.add_exactly_one([here for _, here in found])
    return found


def _within(model: Any, at: Number, parts: tuple[Piece, ...]) -> None:
    model.add_linear_constraint(at, parts[0].low, parts[-1].high)


def _only_if(constraint: Any, here: Number) -> None:
    if not is_always(here):
        constraint.only_enforce_if(here)


def is_always(serves: Number) -> bool:
    """Whether it is the number 1 and no Boolean; those do not compare."""
    return isinstance(serves, int)
