"""When a fixed day, or half of it, begins and ends; what may not be moved (pure)."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime, time, timedelta

from jobs.opening.hours import AFTERNOON, MORNING, NOON, WEEKDAYS, Opening
from jobs.stages.table import May, Stage, stages_before
from shopapp.say import Say, say

LONGEST = timedelta(days=366)
"""Further ahead, or longer, is a slip of the finger in the year."""
NEAR_DAYS = 14
"""Nearest days are looked for so far."""
PASSED = say("This has passed. Choose today or a later day.")


def stays_put(*, is_cancelled: bool, stage: Stage | None) -> Say | None:
    """Why a car is not moved in the plan any more; None: it may be.

    stage  of its work order; None: it has not come
    """
    if is_cancelled:
        return say("This booking was cancelled. Make a new one.")
    if stage is not None and stage not in stages_before(May.LAY):
        return say("Film work on this car has begun: it stays where it is.")
    return None


def stretch_of(day: date, half: str, *, like: datetime) -> tuple[datetime, datetime]:
    """The half-open stretch in which film work fixed to a day begins.

    half  MORNING, AFTERNOON, or "" for the whole day
    like  a moment that carries the shop's zone
    """
    end_day = day if half == MORNING else day + timedelta(days=1)
    start = NOON if half == AFTERNOON else time.min
    end = NOON if half == MORNING else time.min
    return (
        datetime.combine(day, start, tzinfo=like.tzinfo),
        datetime.combine(end_day, end, tzinfo=like.tzinfo),
    )


def refused_day(
    day: date, half: str, *, now: datetime, arrives_at: datetime, opening: Opening
) -> Say | None:
    """Why film work on a car cannot begin on this day, or this half of it.

    now         in the shop's zone
    arrives_at  when the car comes, or came
    """
    _, end = stretch_of(day, half, like=now)
    if end <= now:
        return PASSED
    if day - now.date() > LONGEST:
        return say("That is more than a year ahead. Look at the year.")
    if why := _shut(day, half, opening=opening):
        return why
    if end <= arrives_at:
        return say("The car comes only {at}.", at=arrives_at)
    return None


def refused_visit(at: datetime, *, now: datetime, opening: Opening) -> Say | None:
    """Why nobody can bring or fetch a car at this moment; None: somebody is there.

    at, now  in the shop's zone

    The day, or the half of it, has to be an open one; an hour just outside is agreed on
    by people, and is only said.
    """
    if at.date() < now.date():
        return PASSED
    hours = opening.hours_on(at.date())
    if hours and hours.opens_at <= at.time() <= hours.closes_at:
        return None
    half = MORNING if at.time() < NOON else AFTERNOON
    return _shut(at.date(), half, opening=opening)


def days_near(
    day: date, *, is_good: Callable[[date], bool], most: int = 3
) -> tuple[date, ...]:
    """The nearest good days before and after one, in the order of time.

    As many before it as after it come first; who is asked looks two weeks either way.
    """
    found: list[date] = []
    for apart in range(1, NEAR_DAYS + 1):
        for near in (day - timedelta(days=apart), day + timedelta(days=apart)):
            if len(found) < most and is_good(near):
                found.append(near)
    return tuple(sorted(found))


def _shut(day: date, half: str, *, opening: Opening) -> Say | None:
    """Why nobody works on this day, or this half of it."""
    hours, weekday = opening.hours_on(day), WEEKDAYS[day.weekday()]
    if hours is None:
        why = opening.holidays.get(day, "")
        if not why:
            return say(
                "The shop is closed on {weekday}, {day}.", weekday=weekday, day=day
            )
        return say(
            "The shop is closed on {weekday}, {day}: {why}.",
            weekday=weekday,
            day=day,
            why=why,
        )
    if half == MORNING and hours.opens_at >= NOON:
        return say("The shop opens at {at} that day.", at=f"{hours.opens_at:%H:%M}")
    if half == AFTERNOON and hours.closes_at <= NOON:
        return say("The shop closes at {at} that day.", at=f"{hours.closes_at:%H:%M}")
    return None
