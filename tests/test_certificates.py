"""Every public formula of the pure rooms opens to its summary, formula and source."""

from __future__ import annotations

import importlib
import inspect
import pkgutil
from collections.abc import Callable, Iterator

import pytest

from shopapp.figures import explain, key_of, registered

ROOMS = ("mixing.chemistry", "mixing.climate", "mixing.safety")

MODULES = (
    "mixing.sheet.advice",
    "mixing.sheet.balance",
    "mixing.dispensers.dosing",
    "mixing.sheet.fill",
    "mixing.sheet.outcome",
    "mixing.sheet.pours",
    "mixing.sheet",
    "jobs.coverage.blanks",
    "jobs.cure.dates",
    "jobs.prices.estimate",
    "jobs.findings.learning",
    "jobs.findings.trace",
)
"""Pure modules outside a room of their own."""

FORMULAS_ONLY = ("mixing.chemistry.", "mixing.climate.")
"""Rooms where whatever a function answers was computed by a published formula."""

PLUMBING = {"mixing.chemistry.bounds", "mixing.chemistry.curve", "mixing.safety.bounds"}
"""Refusals and curves: they print no number of their own."""


def modules() -> Iterator[str]:
    for room in ROOMS:
        for found in pkgutil.iter_modules(importlib.import_module(room).__path__):
            if (name := f"{room}.{found.name}") not in PLUMBING:
                yield name
    for name in MODULES:
        if importlib.util.find_spec(name):
            yield name


def formulas(module_name: str) -> Iterator[str]:
    """Public functions made in a module that answer with a computed number."""
    module = importlib.import_module(module_name)
    for name, function in vars(module).items():
        inner = inspect.unwrap(function) if callable(function) else None
        if not inspect.isfunction(inner) or name.startswith("_"):
            continue
        if inner.__module__ != module_name:
            continue
        answer = str(inner.__annotations__.get("return")).removesuffix(" | None")
        if answer in ("float", "int") or module_name.startswith(FORMULAS_ONLY):
            yield f"{module_name}.{name}"


FUNCTIONS = [function for module in modules() for function in formulas(module)]


@pytest.mark.parametrize("path", FUNCTIONS)
def test_formula_of_a_pure_room_is_registered(path):
    module, _, name = path.rpartition(".")
    function = getattr(importlib.import_module(module), name)
    assert function in registered().values()


def ours() -> dict[str, Callable[..., object]]:
    """The registered formulas, but for those that other tests make up."""
    importlib.import_module("shopapp.urls")
    return {
        key: function
        for key, function in registered().items()
        if function.__module__.startswith(("jobs.", "mixing."))
    }


@pytest.mark.parametrize("key", ours())
def test_formula_opens_to_summary_formula_and_source(key):
    told = explain(key)
    assert told.summary.endswith(".")
    assert told.formula
    assert len(told.source) > 10


@pytest.mark.parametrize("key", ours())
def test_formula_takes_named_arguments_only(key):
    parameters = inspect.signature(registered()[key]).parameters.values()
    assert all(each.kind is each.KEYWORD_ONLY for each in parameters)


def test_walk_finds_the_formulas():
    assert "mixing.chemistry.alcohol.density_g_per_ml" in FUNCTIONS
    assert "mixing.climate.air.dew_point_c" in FUNCTIONS
    assert len(FUNCTIONS) > 30
    assert key_of("mixing.climate.air.dew_point_c") in ours()
    assert len(ours()) > 100
