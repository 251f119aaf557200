"""The days on which things happen in the demo shop."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta

from jobs.cure.dates import half_hour_up
from jobs.opening.hours import Opening
from jobs.opening.queries import opening_of
from jobs.plan.promise import BEFORE_CLOSING
from shopapp.models import the_shop

SATURDAY, SUNDAY = 5, 6
DAY = timedelta(days=1)


class DemoDays:
    """Days around `now`, in the shop's zone and its opening hours.

    anchor  the last busy hour: what is in the shop was brought so far by then
    """

    def __init__(self, now: datetime) -> None:
        self.zone = the_shop().zone
        self.now = now.astimezone(self.zone)
        self.opening: Opening = opening_of()
        self.anchor = self._last_busy_hour()

    def at(self, day: date, hour: int, minute: int = 0) -> datetime:
        """A moment of a day."""
        return datetime.combine(day, time(hour, minute), tzinfo=self.zone)

    def ago(self, days: int) -> date:
        """A day so many days ago, moved off the weekend."""
        day = self.now.date() - timedelta(days=days)
        return day + {SATURDAY: -DAY, SUNDAY: DAY}.get(day.weekday(), 0 * DAY)

    def before(self, days: int) -> date:
        """So many working days before the last busy one."""
        day = self.anchor.date()
        for _ in range(days):
            day = _weekday_before(day)
        return day

    def ahead(self, days: int) -> date:
        """Today or the next open day, and so many days from Monday to Friday on."""
        day = self.opening.first_open_day(self.now.date())
        # Nobody brings a car for the last hour.
        if self.closing(day) < self.now + timedelta(hours=1):
            day = self.opening.first_open_day(day + DAY)
        for _ in range(days):
            day += DAY
            while day.weekday() >= SATURDAY:
                day += DAY
        return day

    def arrival(self, day: date, hour: int) -> datetime:
        """A car comes at this hour, when the shop is open, and not before now."""
        opens_at = self.opening.opening_on(day, like=self.now)
        soon = half_hour_up(self.now + timedelta(hours=1))
        return max(self.at(day, hour), opens_at, soon)

    @property
    def day_off(self) -> date:
        """Wednesday of the next week."""
        return self.now.date() + timedelta(days=9 - self.now.weekday())

    def closing(self, day: date) -> datetime:
        """An hour before closing on this day or the next open one."""
        found = self.opening.first_open_day(day)
        hours = self.opening.hours_on(found)
        closes_at = hours.closes_at if hours else self.opening.closes_at
        return datetime.combine(found, closes_at, tzinfo=self.zone) - BEFORE_CLOSING

    def _last_busy_hour(self) -> datetime:
        """This afternoon, or the end of the last working day."""
        day, hour = self.now.date(), self.now.time()
        if day.weekday() < SATURDAY and time(15, 30) <= hour <= time(18):
            return self.now
        if day.weekday() >= SATURDAY or hour <= time(18):
            day = _weekday_before(day)
        return self.at(day, 17)


def _weekday_before(day: date) -> date:
    day -= DAY
    while day.weekday() >= SATURDAY:
        day -= DAY
    return day
