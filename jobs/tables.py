"""Reads the default tables of `jobs` once and asks each row for its source.

The only pure module of `jobs` that reads a file.
"""

from __future__ import annotations

import csv
from collections.abc import Mapping
from functools import cache
from pathlib import Path

FILES = {path.stem: path for path in Path(__file__).parent.rglob("data/*.csv")}
"""Every table of the package; each lies with its noun."""

Row = Mapping[str, str]


@cache
def table(name: str) -> tuple[Row, ...]:
    """Rows of `<name>.csv`, blanks stripped.

    Raises LookupError when there is no such table, ValueError when it is empty, has
    a row of another length, or a row that does not name its source.
    """
    if name not in FILES:
        raise LookupError(f"there is no table {name}")
    return checked_rows(FILES[name].read_text(encoding="utf-8"), name=name)


def checked_rows(text: str, *, name: str) -> tuple[Row, ...]:
    """Rows of a table's text, each with a source.

    name  what the table is called in an error

    >>> checked_rows("code,source\\nhood,common practice", name="t")[0]["code"]
    'hood'
    """
    lines = list(csv.reader(text.splitlines()))
    if not lines or "source" not in (header := [cell.strip() for cell in lines[0]]):
        raise ValueError(f"table {name} has no source column")
    rows = []
    for number, cells in enumerate(lines[1:], start=2):
        if len(cells) != len(header):
            raise ValueError(f"table {name}, line {number}: {len(cells)} cells")
        row = dict(zip(header, (cell.strip() for cell in cells), strict=True))
        if not row["source"]:
            raise ValueError(f"table {name}, line {number} does not name its source")
        rows.append(row)
    if not rows:
        raise ValueError(f"table {name} is empty")
    return tuple(rows)
