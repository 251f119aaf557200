"""What of a plan goes into whose calendar (pure).

No name, phone or plate: the order's number, the work, the bay.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta, tzinfo

from jobs.feeds.ical import Entry
from jobs.opening.hours import Opening
from jobs.plan.naming import Names
from jobs.plan.planned import ShopPlan, Step
from jobs.plan.shop import Part
from jobs.plan.words import NOBODY_S, PART_WORDS

BACK = timedelta(days=14)
HAND_OVER = timedelta(minutes=15)
"""Long enough to be seen on a phone."""


@dataclass(frozen=True, kw_only=True)
class Told:
    """A plan and what is said of its keys.

    numbers  a car's key to its order's number
    names    a bay's or place's key to its name
    host     behind the @ of each entry, so that two shops' differ
    since    what ended before is left out
    """

    plan: ShopPlan
    numbers: Mapping[str, str]
    names: Names
    host: str
    since: datetime

    def title(self, car: str, what: str) -> str:
        """ "W-0012 · film work"."""
        return f"{self.numbers.get(car, car)} · {what}"


def bay_entries(told: Told, *, spot: str) -> Iterator[Entry]:
    """Each stay in a bay as one entry, nights included."""
    for step in told.plan.steps:
        if step.part is Part.STAY and step.spot == spot and step.ends_at > told.since:
            yield _entry(told, step, step.starts_at, step.ends_at, uid=step.key)


def person_entries(
    told: Told, *, person: str, opening: Opening, zone: tzinfo
) -> Iterator[Entry]:
    """Each piece of a person's work inside opening hours: nobody works at night."""
    for step in told.plan.steps:
        if person not in step.people or step.part in NOBODY_S:
            continue
        begins, ends = step.starts_at.astimezone(zone), step.ends_at.astimezone(zone)
        for number, (since, until) in enumerate(opening.pieces(begins, ends)):
            if until > told.since:
                uid = f"{step.key}/{number}"
                yield _entry(told, step, since, until, uid=uid)


def hand_over_entries(told: Told) -> Iterator[Entry]:
    """When each car is ready, as a short entry."""
    looks = {
        step.car: step.sequence for step in told.plan.steps if step.part is Part.LOOK
    }
    for car in told.plan.cars:
        if car.ready_at > told.since:
            yield Entry(
                uid=f"{car.car}/ready@{told.host}",
                starts_at=car.ready_at,
                ends_at=car.ready_at + HAND_OVER,
                title=told.title(car.car, "ready"),
                sequence=looks.get(car.car, 0),
            )


def _entry(
    told: Told, step: Step, since: datetime, until: datetime, *, uid: str
) -> Entry:
    return Entry(
        uid=f"{uid}@{told.host}",
        starts_at=since,
        ends_at=until,
        title=told.title(step.car, PART_WORDS[step.part]),
        where=told.names.get(told.plan.spot_of(step), ""),
        sequence=step.sequence,
    )
