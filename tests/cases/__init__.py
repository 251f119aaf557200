"""Worked examples from outside the project, one table a file, the source in it."""

from __future__ import annotations

import csv
from pathlib import Path

HERE = Path(__file__).parent


def rows(name: str) -> list[dict[str, str]]:
    """The rows of `tests/cases/NAME.csv`; lines that begin with # are notes.

    Raises ValueError when a row has no `source`, so that no check value can slip
    in without one.
    """
    with (HERE / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        lines = [line for line in file if line.strip() and not line.startswith("#")]
    found = list(csv.DictReader(lines, strict=True))
    for number, row in enumerate(found, start=1):
        if None in row or None in row.values():
            raise ValueError(f"row {number} of {name}.csv has the wrong length: {row}")
        if not row.get("source", "").strip():
            raise ValueError(f"row {number} of {name}.csv names no source: {row}")
    return found
