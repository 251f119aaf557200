"""The next opening is later in elapsed time, also where an hour comes twice."""

from __future__ import annotations

from datetime import UTC, date, datetime, time
from zoneinfo import ZoneInfo

from jobs.opening.hours import Hours, Opening

CHICAGO = ZoneInfo("America/Chicago")
SUNDAYS = Opening(
    opens_at=time(8),
    closes_at=time(16),
    other={6: Hours(opens_at=time(1, 20), closes_at=time(5))},
)


def test_an_opening_in_the_hour_that_comes_twice_is_passed_the_second_time():
    second = datetime(2026, 11, 1, 1, 15, fold=1, tzinfo=CHICAGO)
    assert SUNDAYS.opening_after(second).date() == date(2026, 11, 2)
    first = second.replace(fold=0)
    assert SUNDAYS.opening_after(first).astimezone(UTC) == datetime(
        2026, 11, 1, 6, 20, tzinfo=UTC
    )
