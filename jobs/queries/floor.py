"""The floor: bays and the yard as places, with the cars in them."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from django.db.models import Count, Prefetch, Q

from jobs.models import WorkOrder
from jobs.stages import Stage
from mixing.models import Reading
from shopapp.models import Bay, Person, Place, shop_day, the_shop


@dataclass(frozen=True, kw_only=True)
class CarOnFloor:
    """A car as the floor shows it: what it is, what it waits for."""

    order: WorkOrder
    state: str
    icon: str
    tone: str
    done_panels: int
    all_panels: int
    is_late: bool

    @property
    def settles_until(self) -> datetime | None:
        """When the cure time is over, while it runs."""
        return self.order.cure_over_at if self.state == "settling" else None


@dataclass(frozen=True, kw_only=True)
class Spot:
    """A bay or a place, its cars, and its air."""

    key: str
    name: str
    cars: tuple[CarOnFloor, ...]
    reading: Reading | None = None
    room_for: int = 1


@dataclass(frozen=True, kw_only=True)
class Floor:
    """Everything the floor board shows at one moment."""

    bays: tuple[Spot, ...]
    places: tuple[Spot, ...]
    nowhere: tuple[CarOnFloor, ...]


def floor(*, now: datetime) -> Floor:
    """The floor as it is: four queries, however many orders are closed."""
    cars = [car_on_floor(order, now=now) for order in open_orders()]
    start, _ = shop_day(now.astimezone(the_shop().zone).date(), zone=the_shop().zone)
    readings = {
        reading.bay_id: reading
        for reading in Reading.objects.filter(
            bay__isnull=False, taken_at__gte=start
        ).order_by("taken_at")
    }
    return Floor(
        bays=tuple(
            Spot(
                key=f"bay-{bay.pk}",
                name=bay.name,
                cars=_at(cars, bay_id=bay.pk),
                reading=readings.get(bay.pk),
            )
            for bay in Bay.objects.filter(retired=False)
        ),
        places=tuple(
            Spot(
                key=f"place-{place.pk}",
                name=place.name,
                cars=_at(cars, place_id=place.pk),
                room_for=place.room_for,
            )
            for place in Place.objects.filter(retired=False)
        ),
        nowhere=_at(cars, bay_id=None, place_id=None),
    )


def open_orders() -> Iterable[WorkOrder]:
    """Orders not yet handed over, by promise, with what a car card shows."""
    on_car = Q(panels__struck_off_at__isnull=True)
    return (
        WorkOrder.objects.exclude(stage=Stage.CLOSED.value)
        .select_related("vehicle", "booking", "film")
        .prefetch_related(Prefetch("crew", queryset=Person.objects.only("first_name")))
        .annotate(
            all_panels=Count("panels", filter=on_car),
            done_panels=Count(
                "panels", filter=on_car & Q(panels__laid_at__isnull=False)
            ),
        )
        .order_by("promised_at", "pk")
    )


def car_on_floor(order: WorkOrder, *, now: datetime) -> CarOnFloor:
    """A car with its state in a word, an icon and a tone."""
    state, icon, tone = _state(order, now=now)
    return CarOnFloor(
        order=order,
        state=state,
        icon=icon,
        tone=tone,
        done_panels=order.done_panels,  # type: ignore[attr-defined]
        all_panels=order.all_panels,  # type: ignore[attr-defined]
        is_late=order.promised_at < now,
    )


STATES: dict[Stage, tuple[str, str, str]] = {
    Stage.INTAKE: ("intake", "key", "wait"),
    Stage.PREP: ("prep", "drop", "busy"),
    Stage.INSTALL: ("install", "film", "busy"),
    Stage.INSPECTION: ("inspection", "eye", "busy"),
}


def _state(order: WorkOrder, *, now: datetime) -> tuple[str, str, str]:
    if order.is_paused:
        return "paused", "pause", "warn"
    if order.stage_now is Stage.CURE:
        if order.cure_over_at and order.cure_over_at > now:
            return "settling", "clock", "wait"
        return "settled", "check", "ok"
    return STATES[order.stage_now]


def _at(
    cars: list[CarOnFloor], *, bay_id: int | None = None, place_id: int | None = None
) -> tuple[CarOnFloor, ...]:
    return tuple(
        car
        for car in cars
        if car.order.bay_id == bay_id and car.order.place_id == place_id
    )
