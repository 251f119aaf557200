"""The findings and their tests, as `tests/findings/*.csv` lists them."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).parents[2]
LISTS = sorted((ROOT / "tests" / "findings").glob("*.csv"))


@dataclass(frozen=True)
class Row:
    """A finding and a test of it; `listed` is the file that says so."""

    finding: str
    test: str
    listed: str

    @property
    def file(self) -> str:
        """The test's file, from the root."""
        return self.test.partition("::")[0]

    @property
    def function(self) -> str:
        """The test's name without its parameters."""
        return self.test.partition("[")[0].rpartition("::")[2]


def rows() -> list[Row]:
    """Every row of every list."""
    found = []
    for path in LISTS:
        with path.open(newline="") as lines:
            for row in csv.DictReader(lines):
                found.append(Row(row["finding"], row["test"], path.name))
    return found
