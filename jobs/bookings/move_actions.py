"""A booked car comes another day: its promise and its film work go along."""

from __future__ import annotations

from datetime import date, datetime, time
from typing import Any

from jobs.models import Booking, CarWish
from jobs.opening.queries import opening_of
from jobs.plan.fixed_day import refused_day
from jobs.plan.forecast_actions import ask_to_carry_on
from jobs.plan.promise import moved_along
from jobs.plan.visit_queries import visit_refused
from shopapp.frame import Act, Json, Refused, action
from shopapp.models import the_shop
from shopapp.say import say


@action("booking.move")
def move_booking(act: Act, *, booking_pk: int, day: date, at: time) -> Json:
    """Another day or hour for a car that has not arrived."""
    booking = act.lock(Booking, booking_pk)
    if booking.state != Booking.State.BOOKED:
        raise Refused(say("Only a car that is still to come can be moved."))
    arrives_at, promised_at = moved_to(booking, day=day, at=at)
    if why := visit_refused(arrives_at, now=act.now):
        raise Refused(why, field="day")
    changed: dict[str, list[Any]] = {
        "arrives_at": [booking.arrives_at, arrives_at],
        "promised_at": [booking.promised_at, promised_at],
    }
    wish = CarWish.objects.filter(booking=booking).exclude(day=None).first()
    if wish is not None and wish.day is not None:
        moved = later_film_day(wish, wish.day, arrives_at=arrives_at, now=act.now)
        changed["film_day"] = [wish.day, moved]
        wish.day = moved
        wish.half = wish.half if wish.day else CarWish.Half.ANY
        wish.save(update_fields=["day", "half"])
    booking.arrives_at, booking.promised_at = arrives_at, promised_at
    booking.save(update_fields=["arrives_at", "promised_at"])
    act.event(booking, "booking_changed", changed=changed)
    ask_to_carry_on(act)
    return {"pk": booking.pk}


def moved_to(booking: Booking, *, day: date, at: time) -> tuple[datetime, datetime]:
    """Arrival and promise of a car that comes then: as long a stay, rounded up."""
    zone = the_shop().zone
    arrives_at = datetime.combine(day, at, tzinfo=zone)
    promised_at = moved_along(
        booking.promised_at.astimezone(zone),
        offered_for=booking.arrives_at.astimezone(zone),
        arrives_at=arrives_at,
        opening=opening_of(the_shop()),
    )
    return arrives_at, promised_at


def later_film_day(
    wish: CarWish, film_day: date, *, arrives_at: datetime, now: datetime
) -> date | None:
    """The film's fixed day as far behind the arrival; None where nobody works then."""
    shop = the_shop()
    came = wish.booking.arrives_at.astimezone(shop.zone).date()
    moved = film_day + (arrives_at.date() - came)
    why = refused_day(
        moved,
        wish.half,
        now=now.astimezone(shop.zone),
        arrives_at=arrives_at,
        opening=opening_of(shop),
    )
    return None if why else moved
