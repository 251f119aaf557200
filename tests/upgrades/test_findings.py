"""Each list of findings names tests that are there, so that `on_old` can run them."""

from __future__ import annotations

import re
from collections import Counter
from pathlib import Path

import pytest

from tests.upgrades.findings import LISTS, ROOT, Row, rows

SPELLED = re.compile(r"(car|desk|code|trust|numbers) [A-Za-z]?\d*[a-z]?")


@pytest.mark.parametrize("path", LISTS, ids=lambda path: path.stem)
def test_a_list_has_the_two_columns(path: Path):
    assert path.read_text().splitlines()[0] == "finding,test"


@pytest.mark.parametrize("row", rows(), ids=lambda row: f"{row.listed} {row.test}")
def test_a_finding_names_a_test_that_is_there(row: Row):
    assert SPELLED.fullmatch(row.finding), row.finding
    assert (ROOT / row.file).exists(), row.file
    assert re.search(rf"def {row.function}\(", (ROOT / row.file).read_text())


def test_no_row_stands_twice():
    twice = Counter((row.finding, row.test) for row in rows())
    assert [row for row, number in twice.items() if number > 1] == []
