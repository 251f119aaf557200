"""When a fixed day, or half of it, begins and ends; what may not be moved (pure)."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta

from jobs.opening.hours import AFTERNOON, MORNING, NOON, WEEKDAYS, Opening
from jobs.stages.table import May, Stage, stages_before
from shopapp.say import Say, say

LONGEST = timedelta(days=366)
"""Further ahead, or longer, is a slip of the finger in the year."""


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
    hours = opening.hours_on(day)
    weekday = WEEKDAYS[day.weekday()]
    if end <= now:
        return say("This has passed. Choose today or a later day.")
    if day - now.date() > LONGEST:
        return say("That is more than a year ahead. Look at the year.")
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
    if end <= arrives_at:
        return say("The car comes only {at}.", at=arrives_at)
    return None
