"""A booked car comes another day: its promise and its film work go along."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta
from typing import Any

from jobs.models import Booking, CarWish
from jobs.opening.queries import opening_of
from jobs.plan.forecast_actions import ask_to_carry_on
from jobs.plan.promise import moved_along
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
    today = act.now.astimezone(the_shop().zone).date()
    if day < today:
        raise Refused(say("This has passed. Choose today or a later day."), field="day")
    if opening_of(the_shop()).hours_on(day) is None:
        raise Refused(say("The shop is closed on {day}.", day=day), field="day")
    changed: dict[str, list[Any]] = {
        "arrives_at": [booking.arrives_at, arrives_at],
        "promised_at": [booking.promised_at, promised_at],
    }
    wish = CarWish.objects.filter(booking=booking).exclude(day=None).first()
    if wish is not None and wish.day is not None:
        changed["film_day"] = [wish.day, later_film_day(booking, wish.day, day=day)]
        wish.day = changed["film_day"][1]
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


def later_film_day(booking: Booking, film_day: date, *, day: date) -> date | None:
    """The film's fixed day as far behind the arrival; None where the shop is closed."""
    came: timedelta = day - booking.arrives_at.astimezone(the_shop().zone).date()
    moved = film_day + came
    return moved if opening_of(the_shop()).hours_on(moved) else None
