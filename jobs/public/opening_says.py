"""When the shop is open, as a customer reads it: days of the same hours together."""

from __future__ import annotations

from datetime import date, timedelta

from jobs.opening.hours import Hours, Opening
from shopapp.say import Say, say

SOON = timedelta(days=14)
DAYS = (
    *(say("Monday"), say("Tuesday"), say("Wednesday"), say("Thursday")),
    *(say("Friday"), say("Saturday"), say("Sunday")),
)


def weeks_hours(opening: Opening) -> tuple[tuple[Say, Say | None, Hours], ...]:
    """First day, last day (None: one day alone) and hours, in the order of the week.

    Days on which the shop is closed are left out.
    """
    usual = Hours(opens_at=opening.opens_at, closes_at=opening.closes_at)
    runs: list[tuple[int, int, Hours]] = []
    for day in range(len(DAYS)):
        hours = opening.other.get(day, usual)
        if hours is None:
            continue
        if runs and runs[-1][1] == day - 1 and runs[-1][2] == hours:
            runs[-1] = (runs[-1][0], day, hours)
        else:
            runs.append((day, day, hours))
    return tuple(
        (DAYS[first], DAYS[last] if last > first else None, hours)
        for first, last, hours in runs
    )


def closed_soon(opening: Opening, *, today: date) -> tuple[tuple[date, str], ...]:
    """Holidays of the next days, with their names."""
    return tuple(
        (day, opening.holidays[day])
        for day in sorted(opening.holidays)
        if today <= day <= today + SOON
    )
