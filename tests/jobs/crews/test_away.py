"""When a person is not here, as intervals."""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from hypothesis import given
from hypothesis import strategies as st

from jobs.crews.away import DaysOff, away
from jobs.opening.hours import Hours

CHICAGO = ZoneInfo("America/Chicago")
TUESDAY = date(2031, 5, 6)
A_DAY = timedelta(days=1)


def intervals(*days_off, shifts=None, first=TUESDAY, last=TUESDAY, zone=CHICAGO):
    return away(
        shifts=shifts or {}, days_off=days_off, first=first, last=last, zone=zone
    )


def local(day, hour, minute=0, month=5):
    return datetime(2031, month, day, hour, minute, tzinfo=CHICAGO)


def test_somebody_who_is_here_is_away_never():
    assert intervals() == ()


def test_a_whole_day_goes_from_midnight_to_midnight():
    day_off = DaysOff(first_day=TUESDAY, last_day=TUESDAY)
    assert intervals(day_off) == ((local(6, 0), local(7, 0)),)


def test_days_one_after_the_other_are_one_interval():
    week = DaysOff(first_day=TUESDAY, last_day=TUESDAY + 3 * A_DAY)
    found = intervals(week, last=TUESDAY + 9 * A_DAY)
    assert found == ((local(6, 0), local(10, 0)),)


def test_mornings_end_at_noon():
    mornings = DaysOff(first_day=TUESDAY, last_day=TUESDAY + A_DAY, half="morning")
    found = intervals(mornings, last=TUESDAY + A_DAY)
    assert found == ((local(6, 0), local(6, 12)), (local(7, 0), local(7, 12)))


def test_a_weekday_of_ones_own_is_away_before_and_after():
    shifts = {1: Hours(opens_at=time(9), closes_at=time(13, 30))}
    found = intervals(shifts=shifts)
    assert found == ((local(6, 0), local(6, 9)), (local(6, 13, 30), local(7, 0)))


def test_a_weekday_that_is_not_worked_is_away_all_day():
    assert intervals(shifts={1: None}) == ((local(6, 0), local(7, 0)),)


def test_a_day_on_which_the_clocks_change_has_the_hours_that_pass():
    # 9 March 2031 begins daylight saving time in Chicago (tz database): 23 h.
    day = date(2031, 3, 9)
    ((begins, ends),) = intervals(
        DaysOff(first_day=day, last_day=day), first=day, last=day
    )
    assert ends - begins == timedelta(hours=23)


days = st.integers(0, 20).map(lambda n: TUESDAY + n * A_DAY)
halves = st.sampled_from(["", "morning", "afternoon"])
rows = st.lists(
    st.tuples(days, st.integers(0, 5), halves).map(
        lambda t: DaysOff(first_day=t[0], last_day=t[0] + t[1] * A_DAY, half=t[2])
    ),
    max_size=6,
)


@given(rows, st.booleans())
def test_intervals_are_in_order_and_apart_and_hold_each_half_day_off(days_off, off):
    shifts = {3: None} if off else {}
    found = intervals(*days_off, shifts=shifts, last=TUESDAY + 30 * A_DAY)
    assert all(begins < ends for begins, ends in found)
    assert all(one[1] < two[0] for one, two in zip(found, found[1:], strict=False))
    for ahead in range(31):
        day = TUESDAY + ahead * A_DAY
        for half, hour in (("morning", 9), ("afternoon", 15)):
            at = datetime.combine(day, time(hour), tzinfo=CHICAGO).astimezone(UTC)
            expected = (off and day.weekday() == 3) or any(
                row.first_day <= day <= row.last_day and row.half in ("", half)
                for row in days_off
            )
            assert any(b <= at < e for b, e in found) == expected


@given(rows)
def test_the_order_of_the_days_off_does_not_matter(days_off):
    last = TUESDAY + 30 * A_DAY
    assert intervals(*days_off, last=last) == intervals(*days_off[::-1], last=last)


@given(rows.filter(lambda r: len(r) > 1))
def test_what_covers_another_meets_it(days_off):
    one, two = days_off[:2]
    assert not one.covers(two) or one.meets(two)
    assert one.meets(two) == two.meets(one)
