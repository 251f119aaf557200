"""Numbers that can be opened: value, unit, the formula that made them, its inputs.

A computed number that anyone sees is a `Figure`, made by `computed`. `explain` finds
the formula and the source in the docstring of the function that `formula` registered
under the key in `made_by`, so the certificate of a formula stands once, beside its
code. A key is stored with its figures: it stays when the function moves.
"""

from __future__ import annotations

import inspect
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import Any, TypeVar

GIVEN = "given"
"""`made_by` of a number that a person, a label or a setting gave."""

Formula = TypeVar("Formula", bound=Callable[..., object])

_FORMULAS: dict[str, Callable[..., object]] = {}
_KEYS: dict[Callable[..., object], str] = {}


def formula(key: str, *, was: tuple[str, ...] = ()) -> Callable[[Formula], Formula]:
    """Register a function under a key, "noun.name", that is stored with its figures.

    was  other keys that stored figures may hold
    Raises ValueError when another function has the key.
    """

    def register(function: Formula) -> Formula:
        for name in (key, *was):
            if name in _FORMULAS:
                raise ValueError(f"two formulas are called {name}")
            _FORMULAS[name] = function
        _KEYS[function] = key
        return function

    return register


def registered() -> dict[str, Callable[..., object]]:
    """Every registered function by its key."""
    return {key: function for function, key in _KEYS.items()}


def key_of(made_by: str) -> str:
    """The key that a stored `made_by` stands for.

    Before there were keys it was the path of the function, which ended in the key.
    """
    name = ".".join(made_by.split(".")[-2:])
    return _KEYS[_FORMULAS[name]] if name in _FORMULAS else name


@dataclass(frozen=True, kw_only=True)
class Figure:
    """A number that knows where it comes from.

    value     the number, in `unit`
    unit      a name of `shopapp.units.UNITS`, or "" for a count or ratio
    made_by   key of the formula, or `GIVEN`
    inputs    (name, value) pairs that the formula was called with, as they are shown
    low, high the range that reading and rounding allow, in `unit`, or None
    note      for a given number: who or what gave it ("label of container C4")
    """

    value: float
    unit: str
    made_by: str
    inputs: Inputs = ()
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
            made_by=key_of(str(stored["made_by"])),
            inputs=tuple(
                (name, cls.from_json(value) if isinstance(value, Mapping) else value)
                for name, value in inputs.items()
            ),
            low=stored["low"],  # type: ignore[arg-type]
            high=stored["high"],  # type: ignore[arg-type]
            note=str(stored["note"]),
        )


Inputs = tuple[tuple[str, Figure | float | int | str | None], ...]


def given(
    value: float,
    unit: str,
    note: str,
    *,
    low: float | None = None,
    high: float | None = None,
) -> Figure:
    """A figure for a number that was entered, read off a label or set."""
    return Figure(value=value, unit=unit, made_by=GIVEN, note=note, low=low, high=high)


@dataclass(frozen=True, kw_only=True)
class Range:
    """What a formula answers that knows the range of its number."""

    value: float
    low: float | None
    high: float | None


def computed(
    function: Callable[..., Any],
    unit: str,
    limits: tuple[float, float] | None = None,
    shown: Inputs | None = None,
    /,
    **inputs: Any,
) -> Figure:
    """The figure that a registered formula makes of these inputs.

    It calls the formula itself, so a figure never names one it did not use.

    limits  low and high end of the figure, where the formula answers a number only
    shown   the inputs under the names that people read, where those are others
    """
    bare = {
        name: value.value if isinstance(value, Figure) else value
        for name, value in inputs.items()
    }
    answer = function(**bare)
    if not isinstance(answer, Range):
        low, high = limits or (None, None)
        answer = Range(value=answer, low=low, high=high)
    shown = tuple(inputs.items()) if shown is None else shown
    return part_of(function, unit, answer, shown=shown)


def part_of(
    function: Callable[..., Any], unit: str, part: Range, *, shown: Inputs
) -> Figure:
    """The figure of one number among those that a formula answered at once."""
    return Figure(
        value=part.value,
        unit=unit,
        made_by=_KEYS[function],
        inputs=shown,
        low=part.low,
        high=part.high,
    )


def per_cent(share: Figure, *, unit: str = "pct") -> Figure:
    """A share as per cent of what `unit` names."""
    return replace(share, value=100 * share.value, unit=unit)


@dataclass(frozen=True, kw_only=True)
class Explanation:
    """What "where does this number come from?" shows."""

    summary: str
    formula: str
    source: str


def explain(made_by: str) -> Explanation:
    """Formula and source of a figure, read from the docstring of its formula.

    The docstring's first paragraph is the summary, the indented second one the
    formula, and the text after "Source:" the source.
    Raises LookupError when there is no such formula or its docstring has no source.
    """
    function = _FORMULAS.get(key_of(made_by))
    if function is None:
        raise LookupError(f"{made_by} is not one of our formulas")
    doc = inspect.getdoc(function) or ""
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
