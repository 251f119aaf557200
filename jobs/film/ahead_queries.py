"""Film for the cars of the next day: short or not, said the afternoon before."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

from django.db.models import QuerySet, Sum

from jobs.film.held_queries import held_film
from jobs.film.queries import open_orders
from jobs.film.stock import not_enough_for_day
from jobs.models import (
    Booking,
    Film,
    FilmOrder,
    FilmReservation,
    FilmShortage,
    Roll,
)
from shopapp.figures import given
from shopapp.models import Shop, shop_day
from shopapp.say import Say

AFTERNOON = time(14)
"""When it is said, by the shop's clock: a dealer can still be reached."""
DAYS_AHEAD = 3
"""Over a weekend the next day with cars is not tomorrow."""


@dataclass(frozen=True, kw_only=True)
class ShortDay:
    """A film that does not reach the cars up to a day."""

    film: Film
    day: date
    there_mm: int
    wanted_mm: int
    bookings: tuple[Booking, ...]
    orders: tuple[FilmOrder, ...] = ()

    @property
    def sentence(self) -> Say:
        """The rule's sentence."""
        return not_enough_for_day(
            film=self.film.name,
            there=given(self.there_mm / 1000, "m", "on rolls"),
            wanted=given(self.wanted_mm / 1000, "m", "held for these cars"),
        )


def afternoon_of(now: datetime, *, shop: Shop) -> datetime:
    """The moment of this day at which the next day's film is looked at."""
    today = now.astimezone(shop.zone).date()
    return datetime.combine(today, AFTERNOON, tzinfo=shop.zone)


def next_day_with_cars(*, now: datetime, shop: Shop) -> date | None:
    """The first of the next days on which a car is expected."""
    today = now.astimezone(shop.zone).date()
    _, start = shop_day(today, zone=shop.zone)
    _, end = shop_day(today + timedelta(days=DAYS_AHEAD), zone=shop.zone)
    first = (
        Booking.objects.filter(
            state=Booking.State.BOOKED, arrives_at__gte=start, arrives_at__lt=end
        )
        .order_by("arrives_at")
        .values_list("arrives_at", flat=True)
        .first()
    )
    return first.astimezone(shop.zone).date() if first else None


def short_on(day: date, *, shop: Shop, films: Iterable[int] = ()) -> list[ShortDay]:
    """Films that do not reach the cars that are here or come up to that day.

    films  only these, if any are named
    """
    by_film: dict[Film, list[FilmReservation]] = {}
    for held in _held_up_to(day, shop=shop, films=films):
        by_film.setdefault(held.film, []).append(held)
    there = dict(
        Roll.objects.filter(film__in=by_film, retired_at=None)
        .order_by()
        .values_list("film")
        .annotate(mm=Sum("left_mm"))
    )
    short = []
    for film, reservations in by_film.items():
        wanted = sum(held.length_mm for held in reservations)
        if wanted > (on_rolls := there.get(film.pk, 0)):
            short.append(
                ShortDay(
                    film=film,
                    day=day,
                    there_mm=on_rolls,
                    wanted_mm=wanted,
                    bookings=tuple(held.booking for held in reservations),
                )
            )
    return short


def _held_up_to(
    day: date, *, shop: Shop, films: Iterable[int]
) -> QuerySet[FilmReservation]:
    _, end = shop_day(day, zone=shop.zone)
    held = held_film().filter(booking__arrives_at__lt=end)
    if wanted := list(films):
        held = held.filter(film__in=wanted)
    return held.select_related("film", "booking__vehicle").order_by(
        "film_id", "booking__arrives_at", "pk"
    )


def shortages_said(*, now: datetime, shop: Shop) -> list[ShortDay]:
    """What was said of today's and later cars and is still true."""
    today = now.astimezone(shop.zone).date()
    said: dict[date, list[int]] = {}
    for row in FilmShortage.objects.filter(day__gte=today):
        said.setdefault(row.day, []).append(row.film_id)
    found = [
        short
        for day, films in said.items()
        for short in short_on(day, shop=shop, films=films)
    ]
    if not found:
        return []
    coming: dict[int, list[FilmOrder]] = {}
    for order in open_orders().filter(film__in=[short.film for short in found]):
        coming.setdefault(order.film_id, []).append(order)
    return [
        ShortDay(
            film=short.film,
            day=short.day,
            there_mm=short.there_mm,
            wanted_mm=short.wanted_mm,
            bookings=short.bookings,
            orders=tuple(coming.get(short.film.pk, ())),
        )
        for short in found
    ]
