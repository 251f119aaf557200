"""Cars, people and bays as they are now, for what a plan says of them by key."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

from django.db.models import Q, QuerySet
from django.utils import formats

from jobs.models import BayPlan, Booking, CarWish, WorkOrder
from jobs.plan.car_queries import booking_key, car_name, is_ready, order_key
from jobs.plan.name_queries import pks_of
from jobs.plan.naming import Names, named
from jobs.plan.proof import proof_so_far
from jobs.plan.queries import plan_of, proposal, search_of
from jobs.plan.today import CarNow
from jobs.promises.queries import Outlook, booking_outlook, clock, outlook_of
from jobs.stages.table import CLOSED
from shopapp.background import ALIVE
from shopapp.models import BackgroundTask
from shopapp.say import Say


def cars_here_and_coming(
    *, now: datetime, until: datetime
) -> list[tuple[CarNow, Outlook | None]]:
    """Cars in the shop, and those that come before a moment; when each is ready."""
    at = clock(now=now)
    coming = _bookings().filter(state=Booking.State.BOOKED, arrives_at__lt=until)
    return [
        *((_of_order(order), outlook_of(order, clock=at)) for order in _open_orders()),
        *((_of_booking(row), booking_outlook(row, clock=at)) for row in coming),
    ]


def cars_by_key(keys: Iterable[str]) -> dict[str, CarNow]:
    """The cars of a plan by their keys: two queries, however many."""
    known = set(keys)
    booked, unbooked = pks_of("booking", known), pks_of("order", known)
    orders = _orders().filter(Q(booking__in=booked) | Q(pk__in=unbooked))
    cars = {car.key: car for car in map(_of_order, orders)}
    waiting = _bookings().filter(pk__in=booked, workorder=None)
    return cars | {car.key: car for car in map(_of_booking, waiting)}


def car_and_outlook(
    booking: Booking, *, now: datetime
) -> tuple[CarNow, Outlook | None]:
    """The car of one booking, and when it is ready."""
    key = booking_key(booking.pk)
    return cars_by_key([key])[key], booking_outlook(booking, clock=clock(now=now))


def waiting() -> dict[str, Any] | None:
    """Of the proposal that waits, when it was made and how many cars move."""
    row = proposal()
    if row is None:
        return None
    return {"made_at": row.made_at, "moves": len(plan_of(row).moves)}


@dataclass(frozen=True, kw_only=True)
class Search:
    """How far the search for a better plan is.

    seconds  for how long it has searched, as it last said
    proof    how far the lateness is proven by then
    """

    is_alive: bool
    is_stopping: bool
    has_failed: bool
    seconds: float | None
    level: str
    proof: Say | None = None


def search_now(row: BayPlan | None) -> Search | None:
    """The newest search for this proposal."""
    task = search_of(row) if row else None
    if task is None:
        return None
    # No worker takes what was stopped before it began.
    never_began = task.cancel and task.state == BackgroundTask.State.WAITING
    return Search(
        is_alive=task.state in ALIVE and not never_began,
        is_stopping=task.cancel,
        has_failed=task.state == BackgroundTask.State.FAILED,
        seconds=task.progress.get("seconds"),
        level=task.progress.get("level", ""),
        proof=proof_so_far(task.progress),
    )


def with_names(outlook: Outlook, names: Names) -> Outlook:
    """The outlook with the names of bays, people and cars in its sentences."""
    return replace(outlook, why=tuple(named(said, names) for said in outlook.why))


def wish_of(booking: Booking) -> CarWish:
    """What a person fixed for this car; an empty wish where nobody has."""
    known = CarWish.objects.filter(booking=booking).prefetch_related("people").first()
    return known or CarWish(booking=booking)


@dataclass(frozen=True, kw_only=True)
class Fixed:
    """One thing that a person fixed, and what stays fixed when it is let go."""

    name: str
    words: str
    rest: tuple[tuple[str, str], ...]


def fixed_of(booking: Booking) -> tuple[Fixed, ...]:
    """What is fixed of a car."""
    wish = wish_of(booking)
    people = list(wish.people.all()) if wish.pk else []
    half = wish.get_half_display()
    day = formats.date_format(wish.day, "l j F") if wish.day else ""
    known = {
        "day": f"{day}, {half}" if day and wish.half else day,
        "bay": str(booking.bay or ""),
        "people": ", ".join(map(str, people)),
        "is_first": "before others" if wish.weight > wish.Weight.USUAL else "",
    }
    typed = {
        "day": [("on", "other"), ("day", f"{wish.day}"), ("half", wish.half)],
        "bay": [("bay", str(booking.bay_id))],
        "people": [("people", str(person.pk)) for person in people],
        "is_first": [("is_first", "on")],
    }
    return tuple(
        Fixed(
            name=name,
            words=words,
            rest=tuple(
                pair
                for other in known
                if other != name and known[other]
                for pair in typed[other]
            ),
        )
        for name, words in known.items()
        if words
    )


def _open_orders() -> QuerySet[WorkOrder]:
    return _orders().exclude(stage=CLOSED.value)


def _orders() -> QuerySet[WorkOrder]:
    return WorkOrder.objects.select_related(
        "vehicle", "customer", "film", "bay", "place", "booking__forecast"
    ).prefetch_related("final_looks", "panels")


def _bookings() -> QuerySet[Booking]:
    return Booking.objects.select_related("vehicle", "customer", "film", "forecast")


def _of_order(order: WorkOrder) -> CarNow:
    booking = order.booking
    return CarNow(
        key=order_key(order),
        plate=car_name(order),
        what=str(order.vehicle),
        customer=order.customer.name,
        package=booking.get_package_display() if booking else "",
        arrives_at=order.arrived_at,
        promised_at=order.promised_at,
        booking_pk=booking.pk if booking else None,
        order_pk=order.pk,
        is_here=not order.is_closed,
        spot=str(order.bay or order.place or ""),
        is_ready=is_ready(order),
        waits_for=order.paused_because.rstrip(". ") if order.is_paused else "",
    )


def _of_booking(booking: Booking) -> CarNow:
    return CarNow(
        key=booking_key(booking.pk),
        plate=car_name(booking),
        what=str(booking.vehicle),
        customer=booking.customer.name,
        package=booking.get_package_display(),
        arrives_at=booking.arrives_at,
        promised_at=booking.promised_at,
        booking_pk=booking.pk,
    )
