"""Promises at risk, and promises in doubt."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from django.utils import timezone

from jobs.coverage.catalogue import Package
from jobs.cure.dates import CureRule, settled_at
from jobs.cure.queries import cure_rule, package_of, settling_of
from jobs.models import Booking, Film, PromiseCheck, WorkOrder
from jobs.opening.hours import Opening
from jobs.opening.queries import opening_of
from jobs.promises.earliest import at_risk
from jobs.stages.table import May
from shopapp.models import Shop, the_shop
from shopapp.say import Say


@dataclass(frozen=True, kw_only=True)
class Clock:
    """What every promise of a page is held against, read once."""

    now: datetime
    opening: Opening
    rule: CureRule


def clock(*, now: datetime, shop: Shop | None = None) -> Clock:
    """The shop's hours and cure table at this moment."""
    known = shop or the_shop()
    return Clock(
        now=timezone.localtime(now, known.zone),
        opening=opening_of(known),
        rule=cure_rule(),
    )


def risk_of(order: WorkOrder, *, clock: Clock) -> Say | None:
    """Said of a car that cannot have settled by its promise, before it has passed."""
    if order.is_closed or order.promised_at < clock.now:
        return None
    over = order.cure_over_at if order.stage_now.may(May.SETTLE) else None
    return at_risk(
        promised_at=order.promised_at,
        settled_at=over
        or _settled(order.film, package_of(order), clock=clock, laid_at=clock.now),
        is_laid=over is not None,
    )


def booking_risk(booking: Booking, *, clock: Clock) -> Say | None:
    """The same of a booking: a car that is expected cannot settle before it comes."""
    if booking.state == Booking.State.ARRIVED:
        return risk_of(booking.workorder, clock=clock)
    arrives = booking.arrives_at.astimezone(clock.now.tzinfo)
    return at_risk(
        promised_at=booking.promised_at,
        settled_at=_settled(
            booking.film,
            Package(booking.package),
            clock=clock,
            laid_at=max(clock.now, arrives),
        ),
        is_laid=False,
    )


def _settled(
    film: Film, package: Package, *, clock: Clock, laid_at: datetime
) -> datetime:
    return settled_at(
        laid_at=laid_at,
        settling=settling_of(film, package, rule=clock.rule),
        opening=clock.opening,
    )


def check_of(order: WorkOrder) -> PromiseCheck | None:
    """The doubt about this order's promise that waits for the desk."""
    return order.promise_checks.filter(settled_at=None).first()
