"""The same for another car: a booking's form filled from one that was made."""

from __future__ import annotations

from datetime import date, datetime
from decimal import Decimal
from typing import Any

from django.utils import timezone

from jobs.bookings.figure_queries import figures_of
from jobs.bookings.first_forms import booking_initial, whose
from jobs.bookings.queries import chosen_panels
from jobs.coverage.catalogue import Body, Package
from jobs.customers.car_names import next_number
from jobs.models import Booking
from jobs.money.queries import listed_for
from jobs.plan.fit_queries import fits_now
from shopapp.models import the_shop

ITS_OWN = (
    *("plate", "vin", "vin_reason", "red_line", "paint_history", "notes"),
    *("bay", "arrives_at", "promised_at", "film_day", "film_half", "deposit"),
)
"""What one car does not say of the next."""


def like_initial(booking: Booking, *, now: datetime) -> dict[str, Any]:
    """The same customer, work and price; the next stock number, day and hour."""
    initial = booking_initial(booking)
    for name in ITS_OWN:
        initial.pop(name, None)
    initial |= whose(customer=booking.customer, vehicle=None)
    initial["stock_number"] = next_number(booking.vehicle.stock_number)
    initial["price"] = _price(booking)
    return initial | _next_day(booking, now=now)


def _price(booking: Booking) -> Decimal | None:
    """What was agreed before discounts; None where that is the list's own price."""
    if booking.price is None:
        return None
    given = booking.discounts.filter(ended_at=None)
    agreed = booking.price + sum((each.lowered for each in given), Decimal(0))
    figures = figures_of(booking)
    if figures and figures.estimate.is_complete:
        listed = listed_for(booking.customer, total=figures.estimate.total)
        if agreed == listed:
            return None
    return agreed


def _next_day(booking: Booking, *, now: datetime) -> dict[str, Any]:
    """The same day where the plan has room for one more car, else the next that has."""
    zone = the_shop().zone
    day: date = max(booking.arrives_at, now).astimezone(zone).date()
    known = {
        "package": Package(booking.package),
        "panels": chosen_panels(booking),
        "film": booking.film,
        "body": Body(booking.vehicle.body),
        "added_work": list(booking.added_work.values("minutes", "when", "skill")),
        "wanted": day,
    }
    fits = fits_now(known, now=now)
    if fits is None:
        return {}
    offers = [offer for offer in fits.offers if offer.fit.arrives_at.date() >= day]
    if not offers:
        return {}
    first = min(offers, key=lambda offer: offer.fit.arrives_at)
    fit = first.fit
    return {
        "arrives_at": timezone.localtime(fit.arrives_at),
        "promised_at": timezone.localtime(fit.promised_at),
        "bay": first.bay.pk if first.bay else None,
        "offered": first.value,
        "wanted": fit.arrives_at.date(),
    }
