"""The engine behind the proofs, loaded when it is first asked for (pure)."""

from __future__ import annotations

from functools import cache
from importlib import import_module
from typing import Any


@cache
def engine() -> Any:
    """The module of the constraint solver; ImportError without it."""
    return import_module("ortools.sat.python.cp_model")


@cache
def engine_name() -> str:
    """Its name and version, as kept with a plan."""
    return f"ortools {import_module('ortools').__version__}"
