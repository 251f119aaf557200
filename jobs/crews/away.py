"""When a person is not here: days off, and hours that are not worked (pure).

Whether the shop is open then is another question: `jobs.opening`.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta, tzinfo

from jobs.opening.hours import NOON, Hours
from jobs.scheduling.axis import joined

Away = tuple[tuple[datetime, datetime], ...]
"""Half-open, in UTC, in order, apart from each other."""

A_DAY = timedelta(days=1)


@dataclass(frozen=True, kw_only=True)
class DaysOff:
    """Days on which a person is not here. `half`: "morning", "afternoon" or ""."""

    first_day: date
    last_day: date
    half: str = ""

    def meets(self, other: DaysOff) -> bool:
        """Whether both take the same half of some day."""
        return (
            self.first_day <= other.last_day
            and other.first_day <= self.last_day
            and (not self.half or not other.half or self.half == other.half)
        )

    def covers(self, other: DaysOff) -> bool:
        """Whether nothing of the other lies outside."""
        return (
            self.first_day <= other.first_day
            and other.last_day <= self.last_day
            and self.half in ("", other.half)
        )


def away(
    *,
    shifts: Mapping[int, Hours | None],
    days_off: Iterable[DaysOff],
    first: date,
    last: date,
    zone: tzinfo,
) -> Away:
    """The intervals between two days in which a person is not here.

    shifts    weekdays (0 is Monday) with hours of their own; None does not work
    days_off  absences, in any order
    first, last  local days, both included
    """
    known = tuple(days_off)
    return joined(
        piece
        for ahead in range((last - first).days + 1)
        for piece in _on(first + ahead * A_DAY, shifts, known, zone)
    )


def _on(
    day: date,
    shifts: Mapping[int, Hours | None],
    days_off: tuple[DaysOff, ...],
    zone: tzinfo,
) -> Iterator[tuple[datetime, datetime]]:
    begins, noon = _at(day, time(), zone), _at(day, NOON, zone)
    ends = _at(day + A_DAY, time(), zone)
    if day.weekday() in shifts:
        hours = shifts[day.weekday()]
        yield begins, _at(day, hours.opens_at, zone) if hours else ends
        if hours:
            yield _at(day, hours.closes_at, zone), ends
    halves = {"": (begins, ends), "morning": (begins, noon), "afternoon": (noon, ends)}
    for row in days_off:
        if row.first_day <= day <= row.last_day:
            yield halves[row.half]


def _at(day: date, at: time, zone: tzinfo) -> datetime:
    return datetime.combine(day, at, tzinfo=zone).astimezone(UTC)
