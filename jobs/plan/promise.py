"""What hour to promise for a car that is ready by a plan (pure).

Moments are aware and carry the shop's zone.
"""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

from jobs.opening.hours import MOST_DAYS, NOON, Opening
from jobs.promises.earliest import after_work

BEFORE_CLOSING = timedelta(hours=1)
"""Late afternoon: an hour before the shop closes."""


def promise_after(ready_at: datetime, *, opening: Opening) -> datetime:
    """An hour that can be said on the phone: half a usual day after it is ready.

    Rounded up to noon, or to an hour before closing, on an open day. Common practice,
    no published source.
    """
    opens, closes = (
        datetime.combine(date.min, at) for at in (opening.opens_at, opening.closes_at)
    )
    half_min = (closes - opens) / timedelta(minutes=2)
    return rounded_up(
        after_work(ready_at, minutes=half_min, opening=opening), opening=opening
    )


def rounded_up(moment: datetime, *, opening: Opening) -> datetime:
    """The next noon or late afternoon on an open day, this moment or later."""
    for ahead in range(MOST_DAYS):
        day = moment.date() + timedelta(days=ahead)
        for hour in _hours_to_say(day, opening=opening, like=moment):
            if hour >= moment:
                return hour
    return moment


def _hours_to_say(
    day: date, *, opening: Opening, like: datetime
) -> tuple[datetime, ...]:
    hours = opening.hours_on(day)
    if hours is None:
        return ()
    noon, opens, closes = (
        datetime.combine(day, at, tzinfo=like.tzinfo)
        for at in (NOON, hours.opens_at, hours.closes_at)
    )
    found = (noon, max(closes - BEFORE_CLOSING, opens))
    return tuple(sorted(at for at in found if opens <= at <= closes))


def moved_along(
    promised_at: datetime,
    *,
    offered_for: datetime,
    arrives_at: datetime,
    opening: Opening,
) -> datetime:
    """The promise that was offered for one arrival, for a later one.

    offered_for  the arrival for which it was offered

    As long after the arrival, rounded up; a plan says it better, this waits for none.
    """
    stay = promised_at.astimezone(UTC) - offered_for.astimezone(UTC)
    later = (arrives_at.astimezone(UTC) + stay).astimezone(arrives_at.tzinfo)
    return rounded_up(later, opening=opening)
