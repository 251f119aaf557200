"""Numbers that can be opened: value, unit, the function that made them, its inputs.

A computed number that anyone sees is a `Figure`. `explain` finds the formula and
the source in the docstring of the function named by `made_by`, so the certificate
of a formula stands once, beside its code.
"""

from __future__ import annotations

import importlib
import inspect
import re
from collections.abc import Mapping
from dataclasses import dataclass

GIVEN = "given"
"""`made_by` of a number that a person, a label or a setting gave."""

ROOMS = ("mixing.", "jobs.", "shopapp.")


@dataclass(frozen=True, kw_only=True)
class Figure:
    """A number that knows where it comes from.

    value     the number, in `unit`
    unit      a name of `shopapp.units.UNITS`, or "" for a count or ratio
    made_by   dotted name of the pure function, or `GIVEN`
    inputs    (name, value) pairs that the function was called with
    low, high the range that reading and rounding allow, in `unit`, or None
    note      for a given number: who or what gave it ("label of container C4")
    """

    value: float
    unit: str
    made_by: str
    inputs: tuple[tuple[str, Figure | float | int | str | None], ...] = ()
    low: float | None = None
    high: float | None = None
    note: str = ""

    def __str__(self) -> str:
        return f"{self.value:g} {self.unit}".rstrip()

    def to_json(self) -> dict[str, object]:
        """A JSON form that `from_json` reads back without loss."""
        return {
            "value": self.value,
            "unit": self.unit,
            "made_by": self.made_by,
            "inputs": {
                name: value.to_json() if isinstance(value, Figure) else value
                for name, value in self.inputs
            },
            "low": self.low,
            "high": self.high,
            "note": self.note,
        }

    @classmethod
    def from_json(cls, stored: Mapping[str, object]) -> Figure:
        """The figure that `to_json` wrote."""
        inputs = stored["inputs"]
        assert isinstance(inputs, Mapping)
        return cls(
            value=float(stored["value"]),  # type: ignore[arg-type]
            unit=str(stored["unit"]),
            made_by=str(stored["made_by"]),
            inputs=tuple(
                (name, cls.from_json(value) if isinstance(value, Mapping) else value)
                for name, value in inputs.items()
            ),
            low=stored["low"],  # type: ignore[arg-type]
            high=stored["high"],  # type: ignore[arg-type]
            note=str(stored["note"]),
        )


def given(value: float, unit: str, note: str) -> Figure:
    """A figure for a number that was entered, read off a label or set."""
    return Figure(value=value, unit=unit, made_by=GIVEN, note=note)


@dataclass(frozen=True, kw_only=True)
class Explanation:
    """What "where does this number come from?" shows."""

    summary: str
    formula: str
    source: str


def explain(made_by: str) -> Explanation:
    """Formula and source of a figure, read from the docstring of its function.

    The docstring's first paragraph is the summary, the indented second one the
    formula, and the text after "Source:" the source.
    Raises LookupError when the name is not ours or its docstring has no source.
    """
    doc = inspect.getdoc(_function(made_by)) or ""
    source = re.search(r"^Source:\s*(.+?)(?=\n\s*\n|\n>>>|\Z)", doc, re.M | re.S)
    if source is None:
        raise LookupError(f"{made_by} does not name its source")
    paragraphs = [part for part in re.split(r"\n\s*\n", doc) if part.strip()]
    formula = next((p for p in paragraphs[1:] if p.startswith("    ")), "")
    return Explanation(
        summary=" ".join(paragraphs[0].split()),
        formula=inspect.cleandoc(formula),
        source=" ".join(source[1].split()),
    )


def _function(made_by: str) -> object:
    if not made_by.startswith(ROOMS):
        raise LookupError(f"{made_by} is not one of our functions")
    module, _, name = made_by.rpartition(".")
    try:
        return getattr(importlib.import_module(module), name)
    except (ImportError, AttributeError) as error:
        raise LookupError(f"{made_by} cannot be found") from error
