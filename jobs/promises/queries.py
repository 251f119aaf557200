"""When a car will be ready, whether that keeps its promise, and promises in doubt."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import datetime

from django.utils import timezone

from jobs.coverage.catalogue import Package
from jobs.cure.dates import CureRule, settled_at
from jobs.cure.queries import cure_rule, package_of, settling_of
from jobs.models import Booking, Film, Forecast, PromiseCheck, WorkOrder
from jobs.opening.hours import Opening
from jobs.opening.queries import opening_of
from jobs.plan.stored import sentences_from_json
from jobs.promises.earliest import at_risk
from jobs.stages.table import May
from shopapp.models import Shop, the_shop
from shopapp.say import Say

Standing = Forecast.Standing


@dataclass(frozen=True, kw_only=True)
class Outlook:
    """When a car will be ready, and whether that keeps its promise.

    is_passed  the promised hour has passed and the car is still here, or not come
    ready_at   by the plan; None where no plan knows the car: then `standing` is
               worked out from its settling alone
    as_of      when the plan was made
    why        why it is late or tight

    Two that compare equal look the same on a card.
    """

    standing: str
    is_passed: bool
    ready_at: datetime | None = None
    as_of: datetime | None = field(default=None, compare=False)
    why: tuple[Say, ...] = field(default=(), compare=False)

    @property
    def word(self) -> str:
        """The state in a word; "" where there is nothing to say."""
        if self.is_passed:
            return "late"
        if self.standing == Standing.LATE:
            return "late by the plan" if self.ready_at else "at risk"
        if self.standing == Standing.TIGHT:
            return "tight"
        return "in time" if self.ready_at else ""

    @property
    def tone(self) -> str:
        """How grave it is."""
        if self.is_passed or (self.ready_at and self.standing == Standing.LATE):
            return "stop"
        return "ok" if self.standing == Standing.FITS else "warn"

    @property
    def is_well(self) -> bool:
        """Nothing to act on."""
        return not self.is_passed and self.standing == Standing.FITS


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


def outlook_of(order: WorkOrder, *, clock: Clock) -> Outlook | None:
    """When a car that is here will be ready, and whether in time; None when closed."""
    known = planned(order, now=clock.now)
    if known or order.is_closed:
        return known
    over = order.cure_over_at if order.stage_now.may(May.SETTLE) else None
    return _without_plan(
        at_risk(
            promised_at=order.promised_at,
            settled_at=over
            or _settled(order.film, package_of(order), clock=clock, laid_at=clock.now),
            is_laid=over is not None,
        ),
        promised_at=order.promised_at,
        now=clock.now,
    )


def planned(order: WorkOrder, *, now: datetime) -> Outlook | None:
    """The same by the plan alone; None where no plan knows this car."""
    forecast = getattr(order.booking, "forecast", None)
    if forecast is None or order.is_closed:
        return None
    return _by_plan(forecast, promised_at=order.promised_at, now=now)


def booking_outlook(booking: Booking, *, clock: Clock) -> Outlook | None:
    """The same of a booking: a car that is expected cannot settle before it comes."""
    if booking.state == Booking.State.CANCELLED:
        return None
    if booking.state == Booking.State.ARRIVED:
        return outlook_of(booking.workorder, clock=clock)
    promised_at = booking.promised_at
    if forecast := getattr(booking, "forecast", None):
        return _by_plan(forecast, promised_at=promised_at, now=clock.now)
    arrives = booking.arrives_at.astimezone(clock.now.tzinfo)
    settled = _settled(
        booking.film,
        Package(booking.package),
        clock=clock,
        laid_at=max(clock.now, arrives),
    )
    risk = at_risk(promised_at=promised_at, settled_at=settled, is_laid=False)
    return _without_plan(risk, promised_at=promised_at, now=clock.now)


def _by_plan(forecast: Forecast, *, promised_at: datetime, now: datetime) -> Outlook:
    """A promise changed after the plan was made is held against the plan's hour."""
    standing, why = forecast.standing, sentences_from_json(forecast.why)
    if forecast.ready_at > promised_at:
        standing = Standing.LATE
    elif standing == Standing.LATE:
        standing, why = Standing.FITS, ()
    return Outlook(
        standing=standing,
        is_passed=promised_at < now,
        ready_at=forecast.ready_at,
        as_of=forecast.as_of,
        why=why,
    )


def _without_plan(risk: Say | None, *, promised_at: datetime, now: datetime) -> Outlook:
    """What is known of a car that no plan has seen: before it has passed, the risk."""
    is_passed = promised_at < now
    if risk is None or is_passed:
        return Outlook(standing=Standing.FITS, is_passed=is_passed)
    return Outlook(standing=Standing.LATE, is_passed=False, why=(risk,))


def as_of(outlooks: Iterable[Outlook | None]) -> datetime | None:
    """When the plan was looked at last, of several cars on one page."""
    return max((each.as_of for each in outlooks if each and each.as_of), default=None)


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
