"""Bookings by promise, arrivals by day, and film that will not reach."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any

from django.db.models import QuerySet, Sum
from django.utils import timezone

from jobs.coverage.catalogue import (
    Body,
    PanelChoice,
    panel_name,
)
from jobs.film.held_queries import held_film
from jobs.models import (
    Booking,
    BookingPanel,
    Film,
    Roll,
    WorkOrder,
)
from jobs.rules.stock import film_short
from jobs.rules.table import Concern
from jobs.stages.queries import rule_levels
from jobs.stages.table import CLOSED
from shopapp.figures import given
from shopapp.models import Bay, Shop, shop_day


@dataclass(frozen=True, kw_only=True)
class Day:
    """A day of the shop and what is promised or expected on it."""

    day: date
    bookings: list[Booking]


def with_heads() -> QuerySet[Booking]:
    """Bookings with what a line of a list shows."""
    return Booking.objects.select_related(
        "customer", "vehicle", "film", "bay", "workorder__film", "forecast"
    )


def agreed_panels(booking: Booking) -> list[tuple[str, BookingPanel]]:
    """The panels of a booking with their names on its car."""
    body = Body(booking.vehicle.body)
    rows = booking.panels.all()
    return [(panel_name(row.panel, body=body), row) for row in rows]


def chosen_panels(booking: Booking) -> tuple[PanelChoice, ...]:
    """The panels of a booking as they were chosen."""
    return tuple(row.choice for row in booking.panels.all())


def promised_days(*, now: datetime, days: int, shop: Shop) -> list[Day]:
    """Booked cars and cars in the shop by the day of their promise, from today."""
    today = timezone.localtime(now, shop.zone).date()
    start, _ = shop_day(today, zone=shop.zone)
    _, end = shop_day(today + timedelta(days=days - 1), zone=shop.zone)
    promised = (
        with_heads()
        .exclude(state=Booking.State.CANCELLED)
        .exclude(workorder__stage=CLOSED.value)
        .filter(promised_at__gte=start, promised_at__lt=end)
        .order_by("promised_at", "pk")
    )
    return _by_day(promised, "promised_at", shop=shop)


def overdue(*, now: datetime) -> QuerySet[WorkOrder]:
    """Cars still here though their promise has passed."""
    return (
        WorkOrder.objects.select_related(
            "vehicle", "customer", "film", "booking__forecast"
        )
        .exclude(stage=CLOSED.value)
        .filter(promised_at__lt=now)
        .order_by("promised_at", "pk")
    )


def comes_today(*, now: datetime, shop: Shop) -> list[Booking]:
    """Cars not here yet that are expected today."""
    return [
        booking
        for day in expected_days(now=now, days=1, shop=shop)
        for booking in day.bookings
    ]


def expected_days(*, now: datetime, days: int, shop: Shop) -> list[Day]:
    """Cars not here yet by the day of their arrival, from today."""
    today = timezone.localtime(now, shop.zone).date()
    start, _ = shop_day(today, zone=shop.zone)
    _, end = shop_day(today + timedelta(days=days - 1), zone=shop.zone)
    coming = with_heads().filter(
        state=Booking.State.BOOKED, arrives_at__gte=start, arrives_at__lt=end
    )
    return _by_day(coming, "arrives_at", shop=shop)


def coming_of(vehicle_pks: Iterable[int]) -> QuerySet[Booking]:
    """Bookings of these cars that are still to come."""
    return with_heads().filter(state=Booking.State.BOOKED, vehicle__in=set(vehicle_pks))


def not_come(*, now: datetime, shop: Shop) -> QuerySet[Booking]:
    """Cars expected before today that did not come."""
    today = timezone.localtime(now, shop.zone).date()
    start, _ = shop_day(today, zone=shop.zone)
    return with_heads().filter(state=Booking.State.BOOKED, arrives_at__lt=start)


def free_bay_of(booking: Booking) -> str:
    """The bay that it was booked into, as a form names it; "" where a car is in it."""
    return f"bay-{booking.bay.pk}" if booking.bay and is_free(booking.bay) else ""


def is_free(bay: Bay) -> bool:
    """Whether no car is in it."""
    return not bay.workorders.exclude(stage=CLOSED.value).exists()


def taken_in_today(*, now: datetime, shop: Shop) -> QuerySet[WorkOrder]:
    """Cars that arrived today."""
    today = timezone.localtime(now, shop.zone).date()
    start, end = shop_day(today, zone=shop.zone)
    return (
        WorkOrder.objects.select_related("vehicle", "customer")
        .filter(arrived_at__gte=start, arrived_at__lt=end)
        .order_by("-arrived_at", "pk")
    )


def _by_day(bookings: QuerySet[Booking], moment: str, *, shop: Shop) -> list[Day]:
    days: dict[date, list[Booking]] = {}
    for booking in bookings:
        at = timezone.localtime(getattr(booking, moment), shop.zone)
        days.setdefault(at.date(), []).append(booking)
    return [Day(day=day, bookings=found) for day, found in days.items()]


def films_short(shop: Shop) -> list[Concern]:
    """Films of which more is held than there is on rolls: said again until it comes."""
    held = held_film()
    on_rolls = Roll.objects.filter(retired_at=None)
    wanted = _mm_by_film(held, "length_mm")
    there = _mm_by_film(on_rolls, "left_mm")
    levels = rule_levels(shop)
    concerns = [
        film_short(
            film=film.name,
            there=given(there.get(film.pk, 0) / 1000, "m", "on rolls"),
            wanted=given(wanted.get(film.pk, 0) / 1000, "m", "held for bookings"),
            levels=levels,
        )
        for film in Film.objects.all()
    ]
    return [concern for concern in concerns if concern]


def _mm_by_film(rows: QuerySet[Any], length: str) -> dict[int, int]:
    sums = rows.order_by().values("film").annotate(mm=Sum(length))
    return dict(sums.values_list("film", "mm"))
