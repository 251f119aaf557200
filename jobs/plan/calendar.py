"""Opening time as a row of ticks, and moments on it (pure).

Only open time counts: tick 40 may begin on Tuesday at 08:00 where tick 39 ended on
Monday at 18:00. So one number is two moments, an end in the evening and a start next
morning; `end_of` and `start_of` keep them apart. Ticks are laid from each day's
opening, whatever minute that is; what is left at closing is too short for work. Days
and hours are local, what lies between them is counted in UTC.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta, tzinfo
from itertools import count

from jobs.cure.dates import Settling, settled_at
from jobs.opening.hours import MOST_DAYS, Opening
from jobs.scheduling.axis import Axis
from jobs.scheduling.problem import Interval, Table, late_after
from jobs.scheduling.runs import table_of

EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
MINUTE = timedelta(minutes=1)
DAY = timedelta(days=1)


def open_times(
    opening: Opening, *, zone: tzinfo, from_day: date
) -> Iterator[tuple[datetime, datetime]]:
    """Opening and closing in UTC, day after day; ends where the shop stays closed.

    An hour that the clocks skip is counted as it would have been without the change;
    of an hour that comes twice the first is meant. A day on which nothing is left
    between the two is a closed one.
    """
    closed = 0
    for ahead in count():
        day = from_day + ahead * DAY
        hours = opening.hours_on(day)
        closed = 0 if hours else closed + 1
        if closed > MOST_DAYS:
            return
        if hours is None:
            continue
        opens, closes = (
            datetime.combine(day, at, tzinfo=zone).astimezone(UTC)
            for at in (hours.opens_at, hours.closes_at)
        )
        if opens < closes:
            yield opens, closes


def opening_min(
    opening: Opening, *, zone: tzinfo, since: datetime, until: datetime
) -> int:
    """Whole minutes in which the shop is open between two moments.

    since, until  aware; 0 where `until` comes first
    """
    minutes = timedelta()
    first = since.astimezone(zone).date()
    for opens, closes in open_times(opening, zone=zone, from_day=first):
        if opens >= until:
            break
        minutes += max(min(closes, until) - max(opens, since), timedelta())
    return minutes // MINUTE


def is_skipped(moment: datetime) -> bool:
    """Whether the clocks skip this local time."""
    back = moment.astimezone(UTC).astimezone(moment.tzinfo)
    return back.replace(tzinfo=None, fold=0) != moment.replace(tzinfo=None, fold=0)


@dataclass(frozen=True, kw_only=True)
class Calendar:
    """The row of ticks from a moment on.

    starts_at  aware; no tick begins before it
    until      ticks are laid up to this moment at least
    at_least   and so many of them at least
    axis       the ticks in minutes since 1970, in UTC
    """

    opening: Opening
    zone: tzinfo
    starts_at: datetime
    until: datetime
    tick_min: int = 15
    at_least: int = 0
    axis: Axis = field(init=False, repr=False, compare=False)
    _tables: dict[tuple[float, float | None, int], Table] = field(
        init=False, repr=False, compare=False, default_factory=dict
    )

    def __post_init__(self) -> None:
        if self.starts_at.tzinfo is None or self.until.tzinfo is None:
            raise ValueError("a time without its zone cannot be on a calendar")
        axis = Axis(self._windows(), tick=self.tick_min)
        object.__setattr__(self, "axis", axis)

    def _windows(self) -> Iterator[Interval]:
        """What is open from the start on, in whole ticks of each opening."""
        first = self.starts_at.astimezone(self.zone).date()
        start, laid = _minute_up(self.starts_at), 0
        for opens, closes in open_times(self.opening, zone=self.zone, from_day=first):
            if opens > self.until and laid >= self.at_least:
                return
            begins, ends = _minute_up(opens), _minute(closes)
            begins += self.ticks(start - begins) * self.tick_min
            if begins < ends:
                laid += (ends - begins) // self.tick_min
                yield begins, ends

    @property
    def count(self) -> int:
        """How many ticks there are."""
        return self.axis.size

    @property
    def days(self) -> tuple[Interval, ...]:
        """For each opening day its ticks, half-open."""
        return self.axis.days

    def local(self, moment: datetime) -> datetime:
        """A moment in the shop's zone."""
        return moment.astimezone(UTC).astimezone(self.zone)

    def ticks(self, minutes: float) -> int:
        """So many minutes of work, rounded up."""
        return max(0, -int(-minutes // self.tick_min))

    def start_of(self, tick: int) -> datetime:
        """When what begins at this tick begins, in UTC."""
        return EPOCH + self.axis.start_of(tick) * MINUTE

    def end_of(self, tick: int) -> datetime:
        """When what ends at this tick ends, in UTC: the evening, not next morning."""
        if tick <= 0:
            return self.starts_at.astimezone(UTC)
        return EPOCH + self.axis.end_of(tick) * MINUTE

    def ceil(self, moment: datetime) -> int:
        """The first tick that begins at this moment or after it."""
        return self.axis.ceil(_minute_up(moment))

    def floor(self, moment: datetime) -> int:
        """The last tick at which what ends there has ended by this moment."""
        return self.axis.floor(_minute(moment))

    def closed(
        self, absences: Iterable[tuple[datetime, datetime]]
    ) -> tuple[Interval, ...]:
        """The ticks that reach into stretches of time."""
        return self.axis.closed(
            (_minute(since), _minute_up(until)) for since, until in absences
        )

    def ready_after(self, settling: Settling) -> Table:
        """For the end of film work, the first tick after the film has settled.

        The cure is elapsed time, by `settled_at`: what is over in the night is ready
        at the next opening.
        """
        key = (settling.least.value, settling.after_opening_h, settling.more_days)
        if key not in self._tables:
            self._tables[key] = table_of(
                lambda tick: self.ceil(self.settled(tick, settling)), self.count
            )
        return self._tables[key]

    def settled(self, tick: int, settling: Settling) -> datetime:
        """When film has settled whose last panel is laid at the end of this tick."""
        return settled_at(
            laid_at=self.end_of(tick).astimezone(self.zone),
            settling=settling,
            opening=self.opening,
        )

    def late_by_end(self, promise: datetime) -> Table:
        """Lateness for the tick at which the last work ends; closing is in time."""
        if missed := self._missed(promise):
            return late_after(-missed)
        return self.axis.late_by_end(_minute(promise))

    def late_by_start(self, promise: datetime) -> Table:
        """Lateness where readiness is no work's end but an opening moment.

        Film that settles in the night is ready next morning: after a promise for
        closing time, though both are one tick.
        """
        if missed := self._missed(promise):
            return late_after(-missed)
        return self.axis.late_by_start(_minute(promise))

    def _missed(self, promise: datetime) -> int:
        """Ticks of opening time that had passed since a promise at the beginning."""
        minutes = opening_min(
            self.opening, zone=self.zone, since=promise, until=self.starts_at
        )
        return minutes // self.tick_min


def _minute(moment: datetime) -> int:
    return (moment.astimezone(UTC) - EPOCH) // MINUTE


def _minute_up(moment: datetime) -> int:
    return -((EPOCH - moment.astimezone(UTC)) // MINUTE)
