"""What the customer reads: one sentence, and what to do until when (pure).

Care defaults: common practice, no published source.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any

from jobs.cure.dates import CareDates
from jobs.stages.table import FIRST, Stage
from shopapp.say import Say, say


@dataclass(frozen=True, kw_only=True)
class Care:
    """One thing to do or to leave, and the day it ends or begins; neither: always."""

    what: Say
    until: date | None = None
    since: date | None = None


def where_the_car_is(
    *,
    stage: Stage,
    may_leave: bool,
    is_return: bool = False,
    handed_over_at: datetime | None = None,
) -> Say:
    """The one sentence: where the car is.

    may_leave       nothing stands in the way but the customer
    is_return       it came back to be put right
    handed_over_at  aware; None while it is here
    """
    if stage.is_closed and handed_over_at is not None:
        return say("You collected your car on {day}.", day=handed_over_at)
    if may_leave:
        return say("Your car is ready: come and collect it.")
    if is_return and stage is FIRST:
        return say("Your car is back with us. We look at what you told us.")
    return stage.row.customer


def when_it_is_ready(
    *, ready_at: datetime, is_paused: bool, is_over_due: bool, is_doubted: bool = False
) -> Say:
    """The sentence after it, while the car is here and not ready.

    ready_at     aware: the time that a person last gave
    is_over_due  that moment has passed and the car is not ready
    is_doubted   a person of the shop said that this time will not hold
    """
    if is_doubted:
        return say("The time is being checked. We will call you.")
    if is_over_due:
        return say("It takes longer than we said. We will call you.")
    if is_paused:
        return say(
            "It waits at the moment; we plan to have it ready on {ready}.",
            ready=ready_at,
        )
    return say("It is ready on {ready}.", ready=ready_at)


AN_EDGE_LIFTS = (
    say("An edge lifts, or something looks wrong?"),
    say("Do not press or pull at it. Call us, we look at it."),
)
"""The question and the answer in the box on paper and phone."""


def care_lines(
    dates: CareDates, *, first_day: date, is_matte: bool = False
) -> tuple[Care, ...]:
    """What to do with fresh film: what ends soonest first, then what always holds.

    first_day  the shop's day of hand-over
    is_matte   matte film takes no wax
    Source: common practice, no published source.
    """
    # A maker who asks for no wait has no line about it.
    fresh = [
        line
        for line in _fresh(dates, first_day=first_day)
        if line.until is None or line.until > first_day
    ]
    return (*fresh, *_ALWAYS, *(_MATTE if is_matte else ()))


def still_to_do(lines: list[dict[str, Any]], *, today: date) -> list[dict[str, Any]]:
    """Of the lines on paper those that are not over on this day.

    >>> over = {"what": "Do not wash.", "until_on": date(2026, 11, 3)}
    >>> still_to_do([over, {"what": "Rain is fine."}], today=date(2026, 11, 4))
    [{'what': 'Rain is fine.'}]
    """
    return [each for each in lines if (each.get("until_on") or today) >= today]


USUAL_EASY = timedelta(hours=48)
USUAL_POCKETS = timedelta(weeks=4)


def _fresh(dates: CareDates, *, first_day: date) -> tuple[Care, ...]:
    """Each with its day; a usual time is named only where the shop keeps to it."""
    easy = say("Go easy on fast roads.")
    pockets = say(
        "Small clear water pockets and some haze are usual. They go by themselves, "
        "and take longer when it is cold."
    )
    if dates.easy_until - first_day == USUAL_EASY:
        easy = say("Go easy on fast roads for the first 48 hours.")
    if dates.pockets_until - first_day == USUAL_POCKETS:
        pockets = say(
            "Small clear water pockets and some haze are usual. They go by "
            "themselves in 2 to 4 weeks, and take longer when it is cold."
        )
    return (
        Care(what=easy, until=dates.easy_until),
        Care(what=say("Do not wash the car."), until=dates.wash_from),
        Care(
            what=say("Do not press or pick at water pockets and edges."),
            until=dates.no_press_until,
        ),
        Care(what=pockets, until=dates.pockets_until),
        Care(
            what=say(
                "Wash by hand or touch-free, never with brushes. Keep the jet 30 cm "
                "(12 in) away, and not at the edges."
            ),
            since=dates.wash_from,
        ),
    )


_ALWAYS = (
    Care(what=say("Rain and sun are fine.")),
    Care(
        what=say(
            "Bird lime: lay a wet cloth on it for five minutes, then dab it off. "
            "Do so on any day, the first one too."
        )
    ),
    Care(what=say("No petroleum solvents and no polishing machine.")),
)
_MATTE = (Care(what=say("No wax: this film is matte.")),)
