"""Which backups stay: seven days, four weeks, twelve months, or what the shop says."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from hypothesis import given
from hypothesis import strategies as st

from shopapp.backups.keep_rule import kept

FIRST = datetime(2024, 1, 1, 2, tzinfo=UTC)
"""A Monday."""
MOMENTS = st.lists(
    st.integers(min_value=0, max_value=1100 * 24).map(
        lambda hours: FIRST + timedelta(hours=hours)
    ),
    max_size=60,
)
FEW = st.integers(min_value=0, max_value=6)


def nights(number: int) -> list[datetime]:
    """So many nights from a Monday on."""
    return [FIRST + timedelta(days=day) for day in range(number)]


def after(number: int) -> list[datetime]:
    """What is left after so many nights, each of which dropped what did not stay."""
    left: set[datetime] = set()
    for night in nights(number):
        left = kept({*left, night}, days=7, weeks=4, months=12)
    return sorted(left)


def test_after_two_years_of_nights_each_day_week_and_month_has_its_newest():
    left = after(731)
    last = nights(731)[-1]
    assert left[-7:] == [last - timedelta(days=day) for day in range(6, -1, -1)]
    sundays = [each for each in left if each.isoweekday() == 7]
    assert len([each for each in sundays if last - each < timedelta(weeks=4)]) >= 3
    months = {(each.year, each.month) for each in left}
    assert len(months) == 12
    # Seven days, three older weeks, eleven older months; some are the same night.
    assert 18 <= len(left) <= 23


@given(MOMENTS, FEW, FEW, FEW)
def test_the_newest_stays_and_there_are_never_more_than_the_rule_says(
    moments, days, weeks, months
):
    stay = kept(moments, days=days, weeks=weeks, months=months)
    assert stay <= set(moments)
    assert len(stay) <= max(1, days + weeks + months)
    if moments:
        assert max(moments) in stay


@given(MOMENTS, FEW, FEW, FEW)
def test_what_stayed_once_stays_when_asked_again(moments, days, weeks, months):
    rule = {"days": days, "weeks": weeks, "months": months}
    stay = kept(moments, **rule)
    assert kept(stay, **rule) == stay


def test_days_without_a_backup_are_not_counted():
    after_a_holiday = [FIRST, FIRST + timedelta(days=31)]
    assert kept(after_a_holiday, days=2, weeks=0, months=0) == set(after_a_holiday)
