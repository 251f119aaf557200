"""Each list of findings names tests that are there, so that `on_old` can run them."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import pytest

from tests.upgrades.findings import LISTS, ROOT, Row, rows


@pytest.mark.parametrize("path", LISTS, ids=lambda path: path.stem)
def test_a_list_has_the_two_columns(path: Path):
    assert path.read_text().splitlines()[0] == "finding,test"


@pytest.mark.parametrize("listed", [path.name for path in LISTS])
def test_a_finding_names_a_test_that_is_there(listed: str):
    mine = [row for row in rows() if row.listed == listed]
    assert [row.test for row in mine if not row.finding] == []
    assert [row.test for row in mine if not is_there(row)] == []


def is_there(row: Row) -> bool:
    """Whether its file holds a test of that name."""
    path = ROOT / row.file
    return path.exists() and f"def {row.function}(" in path.read_text()


def test_no_row_stands_twice():
    twice = Counter((row.finding, row.test) for row in rows())
    assert [row for row, number in twice.items() if number > 1] == []
