"""What the keys of a plan are called now: cars, people, bays, places, cutters."""

from __future__ import annotations

from collections.abc import Iterable

from jobs.models import Booking, WorkOrder
from jobs.plan.car_queries import booking_key, car_name
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
    """Cars by their keys: two queries, however many."""
    pks: dict[str, list[int]] = {"booking": [], "order": []}
    for key in keys:
        kind, pk = key.split("-")
        pks[kind].append(int(pk))
    bookings = Booking.objects.filter(pk__in=pks["booking"])
    orders = WorkOrder.objects.filter(pk__in=pks["order"])
    booked = {
        booking_key(row.pk): car_name(getattr(row, "workorder", row))
        for row in bookings.select_related("vehicle", "workorder__vehicle")
    }
    return booked | {
        f"order-{row.pk}": car_name(row) for row in orders.select_related("vehicle")
    }
