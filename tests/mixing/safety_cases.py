"""Our value for a row of tests/cases/safety_values.csv; shared with the bench."""

from __future__ import annotations

import importlib


def ours(row: dict[str, str]) -> float:
    """What our function gives for the inputs of a row, in the row's unit."""
    module, _, name = row["function"].rpartition(".")
    function = getattr(importlib.import_module(f"mixing.safety.{module}"), name)
    inputs = dict(pair.split("=") for pair in row["inputs"].split())
    value: float = function(**{key: float(given) for key, given in inputs.items()})
    return value * float(row["times"])
