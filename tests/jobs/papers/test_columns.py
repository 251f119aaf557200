"""Columns on paper keep the order and share the load."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from jobs.papers.columns import parted

LOADS = st.lists(st.floats(min_value=0.5, max_value=50), max_size=40)


@given(LOADS, st.integers(min_value=1, max_value=5))
def test_nothing_is_lost_and_the_order_stays(loads, number):
    columns = parted(loads, number=number, weight=lambda load: load)
    assert len(columns) == number
    assert [load for column in columns for load in column] == loads


@given(LOADS, st.integers(min_value=1, max_value=5))
def test_no_column_is_heavier_than_its_share_and_one_item(loads, number):
    columns = parted(loads, number=number, weight=lambda load: load)
    share = sum(loads) / number + max(loads, default=0.0)
    assert max(sum(column) for column in columns) <= share + 1e-6


def test_equal_items_part_evenly():
    columns = parted(list(range(12)), number=3, weight=lambda item: 1)
    assert [len(column) for column in columns] == [4, 4, 4]
