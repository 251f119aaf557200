"""The sums of an account, over any history."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from jobs.invoices.statement import Entry, open_sum, statement

FIRST = datetime(2031, 1, 1, tzinfo=UTC)
cents = st.integers(-500_000, 500_000).map(lambda n: Decimal(n) / 100)


@st.composite
def entry(draw) -> Entry:
    at = FIRST + timedelta(hours=draw(st.integers(0, 24 * 60)))
    amount, is_asked = draw(cents), draw(st.booleans())
    return Entry(
        at=at,
        on=at.date(),
        number=str(draw(st.integers(1, 10**6))),
        what="",
        about="",
        **{"asked" if is_asked else "paid": amount},
    )


days = st.integers(-3, 65).map(lambda n: date(2031, 1, 1) + timedelta(days=n))


@given(entries=st.lists(entry(), max_size=20), one=days, other=days)
def test_closing_is_opening_and_what_came_between(entries, one, other):
    since, until = min(one, other), max(one, other)
    told = statement(entries, since=since, until=until)
    inside = [each for each in entries if since <= each.on <= until]
    assert sorted(map(str, inside)) == sorted(str(line.entry) for line in told.lines)
    assert told.asked == sum(each.asked for each in inside)
    assert told.paid == sum(each.paid for each in inside)
    assert told.closing == open_sum(each for each in entries if each.on <= until)
    assert [*(line.is_open for line in told.lines)][-1:] in ([], [told.closing])


@given(entries=st.lists(entry(), max_size=20), cut=days)
def test_one_statement_ends_where_the_next_begins(entries, cut):
    far = date(2032, 1, 1)
    before = statement(entries, since=date(2030, 1, 1), until=cut)
    after = statement(entries, since=cut + timedelta(days=1), until=far)
    assert before.closing == after.opening
    assert after.closing == open_sum(entries)


def test_a_last_day_before_the_first_is_an_error():
    with pytest.raises(ValueError, match="before the first"):
        statement([], since=date(2031, 1, 2), until=date(2031, 1, 1))
