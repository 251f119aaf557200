"""Many cars of one customer booked in one press."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from jobs.bookings.actions import Agreed, make_booking
from jobs.dealers.queries import known_problem
from jobs.models import Customer
from shopapp.frame import Act, Json, Refused, action
from shopapp.say import Say, say


@dataclass(frozen=True, kw_only=True)
class CarToBook:
    """A car of a list.

    row      its line there
    name     what the list calls it
    vehicle  its facts, as a booking's form has them
    """

    row: int
    name: str
    vehicle: Mapping[str, Any]
    agreed: Agreed


@action("booking.make_many")
def book_cars(
    act: Act,
    *,
    customer_pk: int,
    cars: tuple[CarToBook, ...],
    left_out: tuple[str, ...] = (),
) -> Json:
    """Book all of these cars, or none.

    left_out  rows of the list that are not booked, to be told
    """
    act.lock(Customer, customer_pk)
    for car in cars:
        if problem := known_problem(customer_pk, car.vehicle):
            raise Refused(_at(car), problem, field="cars")
        try:
            make_booking(
                act,
                customer_pk=customer_pk,
                customer={},
                vehicle_pk=None,
                vehicle=car.vehicle,
                agreed=car.agreed,
            )
        except Refused as refused:
            field = refused.field if refused.field == "film_reason" else "cars"
            raise Refused(_at(car), *refused.reasons, field=field) from refused
    return {"pk": customer_pk, "booked": len(cars), "left_out": list(left_out)}


def _at(car: CarToBook) -> Say:
    return say("Row {row}, {car}: nothing was booked.", row=car.row, car=car.name)
