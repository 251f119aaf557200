"""Sheets, requests and recipes as JSON and back, without loss (pure).

An order keeps the facts of its sheet; they are read back years later by classes that
have changed since, after the steps of their kind (`SHEET`, `SOLUTION`, `RECIPE`). What
no step fills takes its default, or is empty;
a word that is no member any more stays that word; what today's limits would refuse
stands as it was kept. A figure is written once, in `figures`, and named by its number
wherever it stands: a sheet's numbers are made of each other.
"""

from __future__ import annotations

import math
import types
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import MISSING, dataclass, field, fields, is_dataclass, replace
from enum import Enum
from functools import cache
from typing import TypeVar, Union, cast, get_args, get_origin, get_type_hints

from mixing.recipes.spec import RecipeSpec
from mixing.sheet.parts import MixingSheet, SolutionSheet
from shopapp.documents import Document
from shopapp.figures import Figure, given
from shopapp.say import Say

T = TypeVar("T")
Json = dict[str, object]

ENDLESS = "endless"
"""JSON has no infinity; a pump's capacity is one."""

REFERENCE = "figure"
NOT_KEPT = "not recorded at the time"


def _from_1(sheet: Json) -> Json:
    """Rests in vessels, the limits of laying, the word on water at the pour."""
    request = cast(Json, sheet.get("request", {}))
    for vessel in cast(list[Json], request.get("vessels", [])):
        vessel.setdefault("left_ml", 0.0)
    request.setdefault("laying", None)
    cast(Json, sheet.get("water", {})).setdefault("at_the_pour", [])
    return sheet


SHEET = Document(kind="mixing sheet", steps={1: _from_1})
SOLUTION = Document(kind="solution")
RECIPE = Document(kind="recipe")


def sheet_to_json(sheet: MixingSheet) -> Json:
    """A mixing sheet as plain JSON values."""
    return SHEET.stamp(_write(sheet))


def sheet_from_json(stored: Mapping[str, object]) -> MixingSheet:
    """The sheet that `sheet_to_json` wrote."""
    return _read(MixingSheet, SHEET.upgrade(stored))


def solution_to_json(solution: SolutionSheet) -> Json:
    """One solution of a sheet as plain JSON values."""
    return SOLUTION.stamp(_write(solution))


def solution_from_json(stored: Mapping[str, object]) -> SolutionSheet:
    """The solution that `solution_to_json` wrote."""
    return _read(SolutionSheet, SOLUTION.upgrade(stored))


def recipe_to_json(recipe: RecipeSpec) -> Json:
    """A recipe's version as plain JSON values."""
    return RECIPE.stamp(_write(recipe))


def recipe_from_json(stored: Mapping[str, object]) -> RecipeSpec:
    """The recipe that `recipe_to_json` wrote.

    Raises ValueError in a plain sentence for amounts that cannot be.
    """
    recipe = recipe_as_kept(stored)
    return replace(recipe)


def recipe_as_kept(stored: Mapping[str, object]) -> RecipeSpec:
    """The same, though today's limits would refuse it: the shop chose it once."""
    return _read(RecipeSpec, RECIPE.upgrade(stored))


def _write(value: object) -> Json:
    writer = _Writer()
    body = writer.fields(value)
    return {**body, "figures": writer.figures} if writer.figures else body


def _read(kind: type[T], stored: Mapping[str, object]) -> T:
    figures: list[Figure] = []
    written = cast(list[Json], stored.get("figures", []))
    for each in written:
        # A figure is written after its inputs, so they are here already.
        inputs = cast(Json, each["inputs"])
        bare = Figure.from_json({**each, "inputs": {}})
        figures.append(
            replace(
                bare,
                inputs=tuple(
                    (name, cast(float, _param(value, figures)))
                    for name, value in inputs.items()
                ),
            )
        )
    return _dataclass(kind, stored, figures)


@dataclass(kw_only=True)
class _Writer:
    """Writes values, each figure once."""

    figures: list[Json] = field(default_factory=list)
    numbers: dict[int, int] = field(default_factory=dict)

    def fields(self, value: object) -> Json:
        assert is_dataclass(value)
        return {
            each.name: self.value(getattr(value, each.name)) for each in fields(value)
        }

    def value(self, value: object) -> object:
        if isinstance(value, Figure):
            return {REFERENCE: self.number(value)}
        if isinstance(value, Say):
            params = {name: self.value(param) for name, param in value.params}
            return {"text": value.text, "params": params}
        if isinstance(value, Enum):
            return value.value
        if isinstance(value, tuple):
            return [self.value(each) for each in value]
        if is_dataclass(value):
            return self.fields(value)
        return ENDLESS if value == math.inf else value

    def number(self, figure: Figure) -> int:
        # By identity: the sheet holds its figures while it is written.
        if id(figure) not in self.numbers:
            inputs = {name: self.value(value) for name, value in figure.inputs}
            self.figures.append({**_bare(figure), "inputs": inputs})
            self.numbers[id(figure)] = len(self.figures) - 1
        return self.numbers[id(figure)]


def _bare(figure: Figure) -> Json:
    return {
        "value": figure.value,
        "unit": figure.unit,
        "made_by": figure.made_by,
        "low": figure.low,
        "high": figure.high,
        "note": figure.note,
    }


def _param(value: object, figures: list[Figure]) -> object:
    """A figure by its number, or a plain value."""
    return figures[value[REFERENCE]] if isinstance(value, Mapping) else value


def _from_json(wanted: object, stored: object, figures: list[Figure]) -> object:
    if get_origin(wanted) in (Union, types.UnionType):
        if stored is None:
            return None
        wanted = next(arg for arg in get_args(wanted) if arg is not types.NoneType)
    if get_origin(wanted) is tuple:
        assert isinstance(stored, list | tuple)
        inner = get_args(wanted)[0]
        return tuple(_from_json(inner, each, figures) for each in stored)
    if wanted is float:
        return math.inf if stored == ENDLESS else float(cast(float, stored))
    if isinstance(wanted, type) and issubclass(wanted, Enum):
        return _word(wanted, str(stored))
    if isinstance(stored, Mapping):
        return _from_mapping(wanted, stored, figures)
    return stored


def _word(kind: type[Enum], stored: str) -> Enum:
    """The member; a word that only another version knows, as it was written.

    Such a word is none of the members: a page shows it, and no rule goes by it.
    """
    with suppress(ValueError):
        return kind(stored)
    word = str.__new__(cast(type[str], kind), stored)
    known = cast(Enum, word)
    known._name_, known._value_ = stored, stored
    return known


def _from_mapping(
    wanted: object, stored: Mapping[str, object], figures: list[Figure]
) -> object:
    if wanted is Figure:
        return _param(stored, figures)
    if wanted is Say:
        params = cast(Json, stored["params"])
        return Say(
            str(stored["text"]),
            tuple((n, cast(str, _param(v, figures))) for n, v in params.items()),
        )
    assert isinstance(wanted, type)
    return _dataclass(wanted, stored, figures)


def _dataclass(kind: type[T], stored: Mapping[str, object], figures: list[Figure]) -> T:
    hints = _hints(cast(object, kind))
    assert is_dataclass(kind)
    known = {}
    for each in fields(kind):
        if each.name in stored:
            known[each.name] = _from_json(hints[each.name], stored[each.name], figures)
        elif each.default is MISSING and each.default_factory is MISSING:
            known[each.name] = _empty(hints[each.name])
    try:
        return cast(T, kind(**known))
    except ValueError:
        return cast(T, _as_kept(kind, known))


def _empty(wanted: object) -> object:
    """What stands for a field that was not written yet when the facts were kept."""
    if get_origin(wanted) in (Union, types.UnionType):
        return None
    if get_origin(wanted) is tuple:
        return ()
    if wanted is Figure:
        return given(math.nan, "", NOT_KEPT)
    if wanted is Say:
        return Say(NOT_KEPT)
    if wanted is float:
        return math.nan
    return wanted() if wanted in (str, bool, int) else None


def _as_kept(kind: type, known: Json) -> object:
    """The facts of a time whose limits were others: nobody is refused any more."""
    made: object = object.__new__(kind)
    for each in fields(kind):
        usual = (
            each.default if each.default_factory is MISSING else each.default_factory()
        )
        object.__setattr__(made, each.name, known.get(each.name, usual))
    return made


@cache
def _hints(kind: object) -> dict[str, object]:
    return get_type_hints(kind)
