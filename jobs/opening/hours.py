"""When the shop is open: usual hours, other weekdays, holidays (pure).

Days and hours are local: whoever asks hands in moments in the shop's zone.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time, timedelta

from shopapp.say import Say, say

WEEKDAYS = (
    *("Monday", "Tuesday", "Wednesday", "Thursday", "Friday"),
    *("Saturday", "Sunday"),
)
MORNING, AFTERNOON = "morning", "afternoon"
NOON = time(12)
"""Where the morning ends and the afternoon begins."""
MOST_DAYS = 400
"""Nobody looks further than a year for an open day."""


@dataclass(frozen=True, kw_only=True)
class Hours:
    """The hours of one day."""

    opens_at: time
    closes_at: time

    def __post_init__(self) -> None:
        if self.closes_at <= self.opens_at:
            raise ValueError("a shop closes after it opens")


@dataclass(frozen=True, kw_only=True)
class Opening:
    """The hours in which the shop works, in its own zone.

    opens_at, closes_at  the usual hours
    other                weekdays (0 is Monday) that differ; None is closed
    holidays             days on which the shop is closed, with their names
    """

    opens_at: time
    closes_at: time
    other: Mapping[int, Hours | None] = field(
        default_factory=lambda: {5: None, 6: None}
    )
    holidays: Mapping[date, str] = field(default_factory=dict)

    def __post_init__(self) -> None:
        Hours(opens_at=self.opens_at, closes_at=self.closes_at)

    def hours_on(self, day: date) -> Hours | None:
        """The hours of a day, or None when the shop is closed."""
        if day in self.holidays:
            return None
        usual = Hours(opens_at=self.opens_at, closes_at=self.closes_at)
        return self.other.get(day.weekday(), usual)

    def first_open_day(self, day: date) -> date:
        """This day, or the next one on which the shop is open.

        The day itself where the shop never opens again.
        """
        for ahead in range(MOST_DAYS):
            found = day + timedelta(days=ahead)
            if self.hours_on(found):
                return found
        return day

    def opening_on(self, day: date, *, like: datetime) -> datetime:
        """The moment of opening on this day or the next open one.

        like  a moment that carries the shop's zone
        """
        found = self.first_open_day(day)
        hours = self.hours_on(found)
        opens_at = hours.opens_at if hours else self.opens_at
        return datetime.combine(found, opens_at, tzinfo=like.tzinfo)

    def opening_after(self, moment: datetime) -> datetime:
        """The first moment of opening later than this one, in its zone."""
        today = self.opening_on(moment.date(), like=moment)
        # In elapsed time: an hour may come twice on the day of a clock change.
        if today.astimezone(UTC) > moment.astimezone(UTC):
            return today
        return self.opening_on(moment.date() + timedelta(days=1), like=moment)

    def pieces(
        self, begins: datetime, ends: datetime
    ) -> Iterator[tuple[datetime, datetime]]:
        """What lies within opening hours between two moments that carry the zone."""
        day = begins.date()
        while day <= ends.date():
            if hours := self.hours_on(day):
                opens = datetime.combine(day, hours.opens_at, tzinfo=begins.tzinfo)
                closes = datetime.combine(day, hours.closes_at, tzinfo=begins.tzinfo)
                # In UTC: two local times of one zone differ by the clock alone.
                since = max(opens.astimezone(UTC), begins.astimezone(UTC))
                until = min(closes.astimezone(UTC), ends.astimezone(UTC))
                if since < until:
                    yield since, until
            day += timedelta(days=1)

    def open_h(self, begins: datetime, ends: datetime) -> float:
        """Opening hours between two moments that carry the shop's zone, elapsed."""
        pieces = self.pieces(begins, ends)
        return sum((until - since).total_seconds() for since, until in pieces) / 3600


_DAY = {
    "arrival": "It arrives on {day}, {date}: the shop is closed that day{why}.",
    "promise": "Promised for {day}, {date}: the shop is closed that day{why}.",
    "recheck": "The recheck is on {day}, {date}: the shop is closed that day{why}.",
}
_HOUR = {
    "arrival": "It arrives {at}: the shop is open {opens} to {closes} that day.",
    "promise": "Promised for {at}: the shop is open {opens} to {closes} that day.",
    "recheck": "The recheck is {at}: the shop is open {opens} to {closes} that day.",
}


def closed_then(what: str, at: datetime | None, *, opening: Opening) -> Say | None:
    """Said where a moment lies on a closed day or outside the day's hours.

    what  "arrival", "promise" or "recheck"
    at    aware, in the shop's zone; None where it is not known yet
    """
    if at is None:
        return None
    hours = opening.hours_on(at.date())
    if hours is None:
        name = opening.holidays.get(at.date(), "")
        return say(
            _DAY[what],
            day=WEEKDAYS[at.weekday()],
            date=at.date(),
            why=f" ({name})" if name else "",
        )
    if hours.opens_at <= at.time() <= hours.closes_at:
        return None
    return say(
        _HOUR[what],
        at=at,
        opens=f"{hours.opens_at:%H:%M}",
        closes=f"{hours.closes_at:%H:%M}",
    )
