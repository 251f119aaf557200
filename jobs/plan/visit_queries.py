"""Days on which a car can come or be fetched, and those near one that is shut."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import ClassVar

from django.utils import timezone

from jobs.opening.queries import opening_of
from jobs.plan.fit_queries import MOMENT, Picked
from jobs.plan.fixed_day import days_near, refused_visit
from jobs.plan.promise import moved_along
from shopapp.models import the_shop
from shopapp.say import Say


def visit_refused(at: datetime, *, now: datetime) -> Say | None:
    """Why a car can neither come nor be fetched then."""
    shop = the_shop()
    return refused_visit(
        timezone.localtime(at, shop.zone),
        now=timezone.localtime(now, shop.zone),
        opening=opening_of(shop),
    )


def days_near_visit(at: datetime, *, now: datetime) -> tuple[datetime, ...]:
    """The same hour on the nearest days that are open then."""
    local = timezone.localtime(at, the_shop().zone)

    def on(day: date) -> datetime:
        return datetime.combine(day, local.time(), tzinfo=local.tzinfo)

    days = days_near(
        local.date(), is_good=lambda day: visit_refused(on(day), now=now) is None
    )
    return tuple(on(day) for day in days)


@dataclass(frozen=True, kw_only=True)
class Instead:
    """Why nobody is there at a moment that was typed, and open days near it.

    offers  each open day with its hour, and what its button sends
    """

    ASKED: ClassVar = ("arrives_at", "promised_at", "bay")

    why: Say
    offers: tuple[tuple[datetime, Picked], ...]


def instead_of(typed: Mapping[str, str], *, now: datetime) -> tuple[Instead, ...]:
    """What can be agreed instead of moments on which nobody is there.

    typed  arrival, promise and bay as a form's fields hold them
    """
    arrives_at, promised_at = (
        moment_of(typed.get(name, "")) for name in Instead.ASKED[:2]
    )
    bay = typed.get("bay", "")
    if arrives_at and (why := visit_refused(arrives_at, now=now)):
        coming = [
            (at, _coming(at, arrives_at, promised_at, bay))
            for at in days_near_visit(arrives_at, now=now)
        ]
        return (Instead(why=why, offers=tuple(coming)),)
    if promised_at and (why := visit_refused(promised_at, now=now)):
        fetched = [
            (at, _picked(arrives_at, at, bay))
            for at in days_near_visit(promised_at, now=now)
            if arrives_at is None or at > arrives_at
        ]
        return (Instead(why=why, offers=tuple(fetched)),)
    return ()


def moment_of(typed: str) -> datetime | None:
    """A moment in the shop's zone, as a field of day and time holds it."""
    try:
        return datetime.strptime(typed[:16], MOMENT).replace(tzinfo=the_shop().zone)
    except ValueError:
        return None


def _coming(
    at: datetime, was_at: datetime, promised_at: datetime | None, bay: str
) -> Picked:
    """An arrival on another day, its promise moved along."""
    if promised_at and promised_at > was_at:
        zone = at.tzinfo
        promised_at = moved_along(
            promised_at.astimezone(zone),
            offered_for=was_at.astimezone(zone),
            arrives_at=at,
            opening=opening_of(the_shop()),
        )
    return _picked(at, promised_at, bay)


def _picked(
    arrives_at: datetime | None, promised_at: datetime | None, bay: str
) -> Picked:
    zone = the_shop().zone
    said = [
        f"{timezone.localtime(at, zone):{MOMENT}}" if at else ""
        for at in (arrives_at, promised_at)
    ]
    return Picked(arrives_at=said[0], bay=bay, promised_at=said[1])
