"""Shops made up for tests: bays, people and cars, as the plan sees them."""

from __future__ import annotations

from datetime import datetime, time, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from jobs.cure.dates import Settling
from jobs.opening.hours import Hours, Opening
from jobs.plan.shop import (
    CUTTER,
    SETTLING,
    WASH,
    Car,
    Hand,
    Part,
    ShopFacts,
    Skill,
    Spot,
    Work,
)
from shopapp.figures import given

CHICAGO = ZoneInfo("America/Chicago")
WEEKDAYS = Opening(opens_at=time(8), closes_at=time(18))
SATURDAYS = Opening(
    opens_at=time(8),
    closes_at=time(18),
    other={5: Hours(opens_at=time(8), closes_at=time(13)), 6: None},
)
EVERYTHING = frozenset(Skill)
OVERNIGHT = Settling(least=given(12.0, "h", "cure table"), after_opening_h=1.0)
TWO_HOURS = Settling(least=given(2.0, "h", "cure table"))
MONDAY = datetime(2026, 6, 1, 8, tzinfo=CHICAGO)


def at(day: int, hour: int, minute: int = 0) -> datetime:
    """A moment so many days after a Monday in June."""
    midnight = MONDAY.replace(hour=0) + timedelta(days=day)
    return midnight.replace(hour=hour, minute=minute)


def hand(number: int, *skills: Skill, away: Any = ()) -> Hand:
    """A person; without a word one who can do everything."""
    return Hand(
        key=f"person-{number}",
        name=f"Hand {number}",
        skills=frozenset({*skills, Skill.ANY}) if skills else EVERYTHING,
        away=away,
    )


def bay(number: int, **more: Any) -> Spot:
    """A bay."""
    return Spot(key=f"bay-{number}", name=f"Bay {number}", **more)


def wash(number: int = 1, **more: Any) -> Spot:
    """A wash."""
    return Spot(key=f"place-{number}", name="Wash", kind=WASH, **more)


def settling_place(number: int = 9, room_for: int = 2, **more: Any) -> Spot:
    """A place for settling."""
    return Spot(
        key=f"place-{number}",
        name="Hall",
        kind=SETTLING,
        room_for=room_for,
        **more,
    )


def cutter(number: int = 1) -> Spot:
    """A film cutter."""
    return Spot(key=f"cutter-{number}", name="Cutter", kind=CUTTER)


def work(part: Part, minutes: int, **more: Any) -> Work:
    """A piece of work as the shop does it."""
    usual: dict[Part, dict[str, Any]] = {
        Part.INTAKE: {"skill": Skill.ANY},
        Part.PREP: {"skill": Skill.PREP, "in_bay": True, "may_pause": True},
        Part.INSTALL: {"skill": Skill.INSTALL, "in_bay": True, "may_pause": True},
        Part.HELP: {"skill": Skill.ANY, "in_bay": True, "may_pause": True},
        Part.INSPECTION: {"skill": Skill.INSPECT, "in_bay": True},
        Part.LOOK: {"skill": Skill.INSPECT},
        Part.CUT: {"spot": CUTTER},
    }
    return Work(part=part, minutes=minutes, **(usual[part] | more))


def works(prep: int = 60, film: int = 240, **film_more: Any) -> tuple[Work, ...]:
    """All that is done to a car that has not come."""
    return (
        work(Part.INTAKE, 25),
        work(Part.PREP, prep),
        work(Part.INSTALL, film, **film_more),
        work(Part.INSPECTION, 38),
        work(Part.LOOK, 43),
    )


def car(number: int, **more: Any) -> Car:
    """A car that comes on Monday at eight and is promised for Friday evening."""
    usual: dict[str, Any] = {
        "arrives_at": at(0, 8),
        "promised_at": at(4, 18),
        "works": works(),
        "settling": OVERNIGHT,
    }
    return Car(key=f"booking-{number}", name=f"KTR {number}", **(usual | more))


def shop(*cars: Car, **more: Any) -> ShopFacts:
    """Two bays, three people; it is Monday, eight o'clock."""
    usual: dict[str, Any] = {
        "now": MONDAY,
        "opening": WEEKDAYS,
        "spots": (bay(1), bay(2), cutter()),
        "hands": (hand(1), hand(2), hand(3, Skill.PREP)),
        "settles_in_bay": True,
    }
    return ShopFacts(cars=cars, **(usual | more))
