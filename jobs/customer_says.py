"""What the customer reads: one sentence, and what to do until when (pure).

Care defaults: common practice, no published source.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from jobs.cure import CareDates
from jobs.stages import Stage
from shopapp.say import Say, say


@dataclass(frozen=True, kw_only=True)
class Care:
    """One thing to do or to leave, and the day it ends; None means always."""

    what: Say
    until: date | None = None


_WHERE = {
    Stage.INTAKE: "Your car is with us and is being looked over",
    Stage.PREP: "Your car is being washed and made ready for film",
    Stage.INSTALL: "Film is being laid on your car",
    Stage.INSPECTION: "The film on your car is being looked over",
    Stage.CURE: "Your car is settling: water leaves from under the film",
}


def where_the_car_is(
    *,
    stage: Stage,
    is_paused: bool,
    ready_at: datetime,
    is_over_due: bool,
    may_leave: bool,
    handed_over_at: datetime | None,
) -> Say:
    """The one sentence: where the car is and when it is ready.

    ready_at     aware: when it may be collected
    is_over_due  that moment has passed and the car is not ready
    may_leave    nothing stands in the way but the customer
    """
    if stage is Stage.CLOSED and handed_over_at is not None:
        return say("You collected your car on {day}.", day=handed_over_at)
    if may_leave:
        return say("Your car is ready: come and collect it.")
    where = _WHERE[stage]
    if is_over_due:
        return say(where + "; it takes longer than we said. We will call you.")
    if is_paused:
        return say(
            where + ", and waits at the moment; we plan to have it ready on {ready}.",
            ready=ready_at,
        )
    return say(where + "; it is ready on {ready}.", ready=ready_at)


def care_lines(dates: CareDates, *, first_day: date) -> tuple[Care, ...]:
    """What to do with fresh film, soonest to end first.

    first_day  the shop's day of hand-over
    Source: common practice, no published source.
    """
    return (
        Care(
            what=say(
                "Keep it indoors and out of frost if you can. Do not wipe, press or "
                "pick at the film; go easy on fast roads."
            ),
            until=first_day,
        ),
        Care(what=say("Do not wash the car."), until=dates.wash_from),
        Care(
            what=say(
                "Small clear water pockets and some haze are usual; they go by "
                "themselves, later in the cold."
            ),
            until=dates.pockets_until,
        ),
        Care(
            what=say(
                "Then wash by hand with soft cloths, never with brushes. Keep a "
                "pressure washer 30 cm away and off the edges."
            )
        ),
        Care(
            what=say(
                "Take bird lime, insects, sap and fuel off soon. No petroleum "
                "solvents, no polishing machine, no wax on matte film."
            )
        ),
    )
