"""Why a car of a list is not booked: it is known, here, or booked already."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from jobs.customers.known_queries import same_cars
from jobs.models import Booking, Vehicle
from jobs.workorders.here_queries import already_in, order_here
from shopapp.say import Say, say


def known_problem(customer_pk: int, typed: Mapping[str, Any]) -> Say | None:
    """What stands against booking this car for this customer; None: nothing."""
    near = same_cars(
        plate=typed["plate"],
        vin=typed["vin"],
        stock_number=typed["stock_number"],
        customer_pk=customer_pk,
    )
    # A plate in the column of stock numbers is the same car, and the other way round.
    turned = same_cars(
        plate=typed["stock_number"],
        vin="",
        stock_number=typed["plate"],
        customer_pk=customer_pk,
    )
    own = [car for car in turned if car.customer_id == customer_pk]
    for car in (*near, *own):
        if problem := _problem(car, customer_pk):
            return problem
    return None


def _problem(car: Vehicle, customer_pk: int) -> Say | None:
    if car.customer_id != customer_pk:
        return say("It is known as a car of {name}.", name=car.customer.name)
    if order := order_here(car.pk):
        return already_in(order)
    booked = Booking.objects.filter(vehicle=car, state=Booking.State.BOOKED).first()
    if booked is None:
        return None
    return say("It is booked already, for {at}.", at=booked.arrives_at)
