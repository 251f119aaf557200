"""The shop as the plan sees it: bays, people, cars and their work (pure).

Built from the records by `jobs.plan.shop_queries`, or by hand in a test. Moments are
aware; `jobs.plan.calendar` puts them on the axis of `jobs.scheduling`.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime, timedelta
from enum import StrEnum

from jobs.cure.dates import Settling
from jobs.opening.hours import Opening

Away = tuple[tuple[datetime, datetime], ...]
"""Half-open, aware."""


class Part(StrEnum):
    """What is done to a car, in the order of the work. The value is stored."""

    CUT = "cut"
    INTAKE = "intake"
    ADDED_BEFORE = "added_before"
    PREP = "prep"
    INSTALL = "install"
    HELP = "help"
    """A second person beside the installer, at the beginning of the film work."""
    ADDED_AFTER = "added_after"
    INSPECTION = "inspection"
    SETTLING = "settling"
    LOOK = "look"
    """The final look and the hand-over's papers."""
    STAY = "stay"
    """The car in its bay, from the first work there to the last."""
    PARKED = "parked"
    """The car in a place for settling, until it leaves."""


class Skill(StrEnum):
    """Who may do it; ANY is everybody who works here."""

    PREP = "prep"
    INSTALL = "install"
    INSPECT = "inspect"
    HELP = "help"
    """A second pair of hands at the film: who preps or lays."""
    ANY = "any"


CLEARED_IN = timedelta(minutes=30)
"""So long a car that needs its bay no more still stands there. Common practice."""
BAY, WASH, SETTLING, CUTTER = "bay", "wash", "settling", "cutter"
"""Kinds of places that come with the shop; a kind is a plain word, others may be."""


@dataclass(frozen=True, kw_only=True)
class Hand:
    """A person. `key` is "person-7"; `away` is absence and hours not worked."""

    key: str
    name: str
    skills: frozenset[Skill]
    away: Away = ()


@dataclass(frozen=True, kw_only=True)
class Spot:
    """A bay, a wash, a place for settling, a cutter. `key` is "bay-2", "place-5".

    ready_car  key of a car that is ready and still stands in it
    """

    key: str
    name: str
    kind: str = BAY
    room_for: int = 1
    closed: Away = ()
    ready_car: str = ""


@dataclass(frozen=True, kw_only=True)
class Work:
    """One piece of work on a car; pieces follow each other in their order.

    minutes    of opening time still to do; `low`, `high` the spread of the estimate
    people     how many at once
    skill      None: nobody is needed
    spot       kind of place that it takes for itself (a cutter, a wash); None: none
    in_bay     done in the car's bay: the bay is held from the first to the last of them
    may_pause  may go over closing time, to be continued next morning
    began      it is going on: by whom, where; the rest is counted from now
    """

    part: Part
    minutes: int
    low: int | None = None
    high: int | None = None
    skill: Skill | None = None
    people: int = 1
    spot: str | None = None
    in_bay: bool = False
    may_pause: bool = False
    began: bool = False
    by: tuple[str, ...] = ()
    note: str = ""


@dataclass(frozen=True, kw_only=True)
class Car:
    """A car that is booked or here.

    key         "booking-12"
    name        how the shop calls it, as `jobs.customers.car_names` says
    works       what is still to do, in order
    cut         cutting its pre-cut film, done on a day before where there is one
    settling    how long its film settles; None: it settled, or nothing is laid
    settles_until  it settles already: until then
    ready_from  not handed over before, by the nights of its package
    bay, place  where it stands, or is to stand: a key of a spot
    bay_kind    kind of bay that it needs
    people      who is to work on it: the film work is theirs
    not_before, not_after  the film work begins in this half-open stretch
    """

    key: str
    name: str
    arrives_at: datetime
    promised_at: datetime
    works: tuple[Work, ...]
    weight: int = 1
    is_here: bool = False
    is_paused: bool = False
    cut: Work | None = None
    settling: Settling | None = None
    settles_until: datetime | None = None
    ready_from: datetime | None = None
    bay: str = ""
    place: str = ""
    bay_kind: str = BAY
    people: tuple[str, ...] = ()
    not_before: datetime | None = None
    not_after: datetime | None = None


@dataclass(frozen=True, kw_only=True)
class ShopFacts:
    """Everything that a plan is made from.

    now       aware, in the shop's zone; nothing is planned before it
    freeze_h  opening hours from now within which the plan in force stays
    settles_in_bay  there is no place for settling: a car settles in its bay
    """

    now: datetime
    opening: Opening
    spots: tuple[Spot, ...]
    hands: tuple[Hand, ...]
    cars: tuple[Car, ...]
    freeze_h: float = 4.0
    tick_min: int = 15
    settles_in_bay: bool = field(default=False)
