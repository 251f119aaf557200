"""What the keys of a plan are called now: cars, people, bays, places, cutters."""

from __future__ import annotations

from collections.abc import Iterable

from jobs.models import Booking, WorkOrder
from jobs.plan.car_queries import booking_key, car_name, order_key
from jobs.plan.planned import ShopPlan
from jobs.plan.today import CarNow
from shopapp.models import Bay, Person, Place
from shopapp.once import once_a_page

CUTTERS = 9
"""No shop has more film cutters than have a name here."""


def names_of(
    plan: ShopPlan | None = None, *, cars: Iterable[CarNow] = ()
) -> dict[str, str]:
    """All names, with every car of a plan, and these cars that are known already."""
    known = {car.key: car.plate for car in cars}
    mentioned = plan.mentioned if plan else frozenset()
    return names_now() | car_names(mentioned - set(known)) | known


@once_a_page
def names_now() -> dict[str, str]:
    """What each bay, place, person and cutter is called."""
    names = {f"bay-{bay.pk}": bay.name for bay in Bay.objects.all()}
    names |= {f"place-{place.pk}": place.name for place in Place.objects.all()}
    names |= {f"person-{person.pk}": str(person) for person in Person.objects.all()}
    return names | {f"cutter-{at}": cutter_name(at) for at in range(1, CUTTERS + 1)}


def cutter_name(number: int) -> str:
    """Film cutters have no row of their own: a shop says how many there are."""
    return f"Film cutter {number}" if number > 1 else "Film cutter"


def car_names(keys: Iterable[str]) -> dict[str, str]:
    """What cars are called, by their keys."""
    return {key: car_name(order_of(row) or row) for key, row in cars_of(keys).items()}


def order_numbers(plan: ShopPlan) -> dict[str, str]:
    """What the shop calls each car of a plan without naming its owner or plate."""
    keys = {car.car for car in plan.cars} | {step.car for step in plan.steps}
    return {
        key: order.number if (order := order_of(row)) else f"booking {row.pk}"
        for key, row in cars_of(keys).items()
    }


def cars_of(keys: Iterable[str]) -> dict[str, Booking | WorkOrder]:
    """Bookings, and orders that nobody booked, by their keys: two queries."""
    known = set(keys)
    bookings = Booking.objects.filter(pk__in=pks_of("booking", known))
    orders = WorkOrder.objects.filter(pk__in=pks_of("order", known))
    rows: list[Booking | WorkOrder] = [
        *bookings.select_related("vehicle", "customer", "workorder__vehicle"),
        *orders.select_related("vehicle", "customer"),
    ]
    return {car_key(row): row for row in rows}


def car_key(row: Booking | WorkOrder) -> str:
    """How a plan calls a car."""
    return order_key(row) if isinstance(row, WorkOrder) else booking_key(row.pk)


def order_of(row: Booking | WorkOrder) -> WorkOrder | None:
    """The order of a car; None where it has not come."""
    return row if isinstance(row, WorkOrder) else getattr(row, "workorder", None)


def pks_of(kind: str, keys: Iterable[str]) -> list[int]:
    """The rows that keys of one kind name: 12 of "booking-12"."""
    found = (key.partition("-") for key in keys)
    return [int(pk) for first, _, pk in found if first == kind]
