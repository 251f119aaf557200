"""A plan of the shop in moments: what pages, papers and feeds read (pure).

Stored with each plan (`jobs.plan.stored`): keys only, no name, phone or plate.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import datetime
from enum import StrEnum
from itertools import groupby

from jobs.plan.shop import Part
from jobs.plan.words import NOBODY_S
from shopapp.say import Say


@dataclass(frozen=True, kw_only=True)
class Step:
    """One piece of work, where and by whom. Moments are UTC.

    spot      key of a bay or place ("bay-2"), "" where none is taken
    people    keys ("person-7")
    number    of several pieces of one part, from 0
    sequence  how often it has moved since it was first published
    """

    car: str
    part: Part
    starts_at: datetime
    ends_at: datetime
    spot: str = ""
    people: tuple[str, ...] = ()
    number: int = 0
    sequence: int = 0

    @property
    def key(self) -> str:
        """Stays the same when the step moves."""
        return f"{self.car}/{self.part.value}/{self.number}"

    @property
    def alike(self) -> tuple[str, Part, str, tuple[str, ...]]:
        """The same for pieces of one work in one place by the same people."""
        return self.car, self.part, self.spot, self.people


def in_time(steps: Iterable[Step]) -> list[Step]:
    """Steps in the order of time."""
    return sorted(steps, key=lambda step: (step.starts_at, step.ends_at, step.key))


def merged(steps: Iterable[Step]) -> Iterator[Step]:
    """In the order of time; pieces that are alike and follow each other are one."""
    for _, alike in groupby(in_time(steps), key=lambda step: step.alike):
        first, *more = alike
        yield replace(first, ends_at=more[-1].ends_at) if more else first


@dataclass(frozen=True, kw_only=True)
class CarPlanned:
    """One car in a plan.

    car         "booking-12"
    begins      fingerprint of what had begun when the plan was made
    ready_at    end of the final look
    latest_at   the same with the long end of every estimate; within it, it is tight
    late_min    opening minutes after the promise, 0 in time
    why         why it is late, or tight
    """

    car: str
    ready_at: datetime
    latest_at: datetime
    promised_at: datetime
    begins: str = ""
    late_min: int = 0
    why: tuple[Say, ...] = ()

    @property
    def standing(self) -> str:
        """ "late", "tight" (late if everything takes long), or "fits"."""
        if self.late_min > 0:
            return "late"
        return "tight" if self.latest_at > self.promised_at else "fits"


@dataclass(frozen=True, kw_only=True)
class Reached:
    """One goal: its value, what no plan can go below, and whether that is proven.

    level   of `jobs.scheduling.problem.Level`
    first   the quick plan's value
    """

    level: str
    value: int
    bound: int | None
    is_proven: bool
    first: int | None = None


@dataclass(frozen=True, kw_only=True)
class Move:
    """What a proposal changes for a car, beside the plan in force.

    what   sentences: "KTR 4821: film work Tue 08:00 instead of Mon 13:00, Bay 2"
    """

    car: str
    what: tuple[Say, ...]


class Why(StrEnum):
    """Why the plan in force does not hold any more. The value is stored."""

    AWAY = "away"
    """Somebody is not there for planned work."""
    CLOSED = "closed"
    """A bay or a place is no longer in use."""
    FIXED = "fixed"
    """A person fixed the car otherwise."""
    LATE = "late"
    PUSHED = "pushed"
    OUT = "out"
    """It fits nowhere any more."""
    GAINED = "gained"
    """A late car can be in time again."""


@dataclass(frozen=True, kw_only=True)
class Cause:
    """One thing that the plan in force did not know.

    about  the person or the spot that is gone; where, when and by whom it was fixed
    """

    why: Why
    car: str = ""
    about: str = ""


@dataclass(frozen=True, kw_only=True)
class ShopPlan:
    """The whole plan.

    as_of    when it was made
    origin   "quick" or "solver"
    unplaced cars that no plan can take, with the reason
    clashes  why cars cannot all be in time: sentences about the set, the bottleneck
    assumed  what was assumed, in sentences
    given    what stays whatever is better: a proof holds beside it
    because  of a proposal: why it was made; as it stands: what was answered already
    """

    as_of: datetime
    steps: tuple[Step, ...]
    cars: tuple[CarPlanned, ...]
    reached: tuple[Reached, ...] = ()
    origin: str = "quick"
    problem_hash: str = ""
    engine: str = ""
    seed: int = 0
    workers: int = 0
    unplaced: tuple[tuple[str, Say], ...] = ()
    clashes: tuple[Say, ...] = ()
    moves: tuple[Move, ...] = ()
    assumed: tuple[Say, ...] = ()
    given: tuple[Say, ...] = ()
    because: tuple[Cause, ...] = ()

    @property
    def was_searched(self) -> bool:
        """Whether a search made it, or counting proves that none can better it."""
        return self.origin == "solver" or bool(
            self.reached and all(goal.is_proven for goal in self.reached)
        )

    @property
    def mentioned(self) -> frozenset[str]:
        """Keys of all cars that it plans, leaves out or speaks of."""
        planned = {car.car for car in self.cars} | {step.car for step in self.steps}
        spoken = {
            value
            for each in self.assumed
            for name, value in each.params
            if name == "car" and isinstance(value, str)
        }
        return frozenset(planned | spoken | {car for car, _ in self.unplaced})

    def steps_of(self, car: str) -> Iterator[Step]:
        """The steps of a car, in the order of time."""
        return iter(in_time(step for step in self.steps if step.car == car))

    def spot_of(self, step: Step) -> str:
        """Where the car stands at a step: its own spot, else where it was put last.

        "" before it is put anywhere: nobody knows yet where it waits.
        """
        if step.spot:
            return step.spot
        at = step.starts_at
        put = [
            (other.starts_at, other.spot)
            for other in self.steps_of(step.car)
            if other.part in NOBODY_S
            and other.spot
            and other.starts_at <= at <= other.ends_at
        ]
        return max(put)[1] if put else ""
