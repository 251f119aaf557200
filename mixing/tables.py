"""Numbers from the world: reads each table once and checks each row has a source."""

from __future__ import annotations

import csv
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from types import MappingProxyType

FILES = {path.stem: path for path in Path(__file__).parent.rglob("data/*.csv")}
"""Every table of the package; each lies with its noun."""

Row = Mapping[str, str]


@cache
def table(name: str) -> tuple[Row, ...]:
    """The rows of `NAME.csv`; lines that begin with # are notes.

    Raises ValueError when a row has the wrong length or an empty `source`.

    >>> table("isopropanol_water_density")[0]["density_g_per_ml"]
    '0.9982'
    """
    with FILES[name].open(encoding="utf-8", newline="") as file:
        lines = [line for line in file if line.strip() and not line.startswith("#")]
    rows = list(csv.DictReader(lines, strict=True))
    for number, row in enumerate(rows, start=1):
        if None in row or None in row.values():
            raise ValueError(f"row {number} of {name}.csv has the wrong length")
        if not row.get("source", "").strip():
            raise ValueError(f"row {number} of {name}.csv names no source")
    return tuple(MappingProxyType(row) for row in rows)


def column(name: str, heading: str) -> tuple[float, ...]:
    """One column of a table as numbers, in the order of the file.

    >>> column("isopropanol_water_density", "mass_fraction")[-1]
    1.0
    """
    return tuple(float(row[heading]) for row in table(name))


def constant(name: str) -> float:
    """One value of `constants.csv`.

    Raises LookupError for a name that the table does not hold.

    >>> constant("isopropanol_molar_mass_g_per_mol")
    60.095
    """
    for row in table("constants"):
        if row["name"] == name:
            return float(row["value"])
    raise LookupError(f"constants.csv holds no {name}")
