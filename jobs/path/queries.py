"""The floor: bays and the yard as places, with the cars in them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import datetime

from django.db.models import Count, Q, QuerySet
from django.utils.translation import gettext

from jobs.air.fire_queries import KeptLine, fire_lines
from jobs.models import OrderPanel, WorkOrder
from jobs.promises.queries import Clock, Outlook, as_of, clock, outlook_of
from jobs.stages.table import CLOSED, FloorWord, May
from mixing.models import Reading
from mixing.safety.states import worst
from shopapp.models import Bay, Person, Place, Shop, shop_day, the_shop

CARD = [
    *("number", "stage", "round", "return_of", "paused_at", "paused_because"),
    *("cure_over_at", "promised_at", "bay", "place", "booking__package"),
    *("film", "film__name", "film__cure_h"),
    *(f"booking__forecast__{name}" for name in ("ready_at", "as_of", "standing")),
    "booking__forecast__why",
    *(f"vehicle__{name}" for name in ("plate", "stock_number", "vin")),
    *(f"vehicle__{name}" for name in ("year", "make", "model", "colour")),
]
"""What a card says: the board is drawn after every press, so no more is fetched."""


@dataclass(frozen=True, kw_only=True)
class CarOnFloor:
    """A car as the floor shows it: what it is, what it waits for.

    Cards that compare equal look the same, so that a board draws only what is new.
    """

    order: WorkOrder = field(compare=False)
    pk: int
    plate: str
    car: str
    package: str
    waits_for: str
    state: str
    icon: str
    tone: str
    settles_until: datetime | None
    crew: tuple[Person, ...] = field(compare=False)
    hands: str
    done_panels: int
    all_panels: int
    round: int
    promised_at: datetime
    outlook: Outlook | None


@dataclass(frozen=True, kw_only=True)
class Spot:
    """A bay or a place, its cars, its air, and the gravest fire line of its cars."""

    key: str
    name: str
    cars: tuple[CarOnFloor, ...]
    reading: Reading | None = None
    room_for: int = 1
    fire: KeptLine | None = None


@dataclass(frozen=True, kw_only=True)
class Floor:
    """Everything the floor board shows at one moment."""

    bays: tuple[Spot, ...]
    places: tuple[Spot, ...]
    nowhere: tuple[CarOnFloor, ...]
    as_of: datetime | None = None
    """When the plan was made that says when they are ready."""


def floor(*, now: datetime, shop: Shop | None = None) -> Floor:
    """The floor as it is: the same queries, however many orders there are."""
    known = shop or the_shop()
    cars = cars_on_floor(open_orders().only(*CARD), now=now, shop=known)
    zone = known.zone
    start, _ = shop_day(now.astimezone(zone).date(), zone=zone)
    readings = {
        reading.bay_id: reading
        for reading in Reading.objects.filter(
            bay__isnull=False, taken_at__gte=start
        ).order_by("taken_at")
    }
    in_bays = [car.order for car in cars if car.order.bay_id is not None]
    fire = fire_lines(in_bays)
    return Floor(
        bays=tuple(
            Spot(
                key=f"bay-{bay.pk}",
                name=bay.name,
                cars=_at(cars, bay_id=bay.pk),
                reading=readings.get(bay.pk),
                fire=_gravest(_at(cars, bay_id=bay.pk), fire),
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
        as_of=as_of(car.outlook for car in cars),
    )


def _gravest(
    cars: Iterable[CarOnFloor], fire: Mapping[int, KeptLine]
) -> KeptLine | None:
    lines = [fire[car.pk] for car in cars if car.pk in fire]
    state = worst(line.state for line in lines)
    return next((line for line in lines if line.state is state), None)


def open_orders() -> QuerySet[WorkOrder]:
    """Orders not yet handed over, by promise."""
    return (
        WorkOrder.objects.exclude(stage=CLOSED.value)
        .select_related("vehicle", "booking__forecast", "film")
        .order_by("promised_at", "pk")
    )


def cars_on_floor(
    orders: Iterable[WorkOrder], *, now: datetime, shop: Shop | None = None
) -> tuple[CarOnFloor, ...]:
    """Cars with their state in a word, their crew and how far their panels are."""
    known = list(orders)
    crews = _crews(known)
    panels = _panels(known)
    at = clock(now=now, shop=shop)
    return tuple(
        _car(order, crew=crews.get(order.pk, ()), panels=panels, at=at)
        for order in known
    )


def _crews(orders: list[WorkOrder]) -> dict[int, tuple[Person, ...]]:
    crews: dict[int, tuple[Person, ...]] = {}
    ties = WorkOrder.crew.through.objects.filter(workorder__in=orders)
    for tie in ties.select_related("person").order_by("person__first_name", "pk"):
        crews[tie.workorder_id] = (*crews.get(tie.workorder_id, ()), tie.person)
    return crews


def _panels(orders: list[WorkOrder]) -> dict[int, tuple[int, int]]:
    """Panels laid and panels in all, by order; those struck off do not count."""
    counted = (
        OrderPanel.objects.filter(workorder__in=orders, struck_off_at=None)
        .order_by()
        .values_list("workorder")
        .annotate(laid=Count("pk", filter=Q(laid_at__isnull=False)), all=Count("pk"))
    )
    return {pk: (laid, all_panels) for pk, laid, all_panels in counted}


def _car(
    order: WorkOrder,
    *,
    crew: tuple[Person, ...],
    panels: Mapping[int, tuple[int, int]],
    at: Clock,
) -> CarOnFloor:
    state = _state(order, now=at.now)
    done, everything = panels.get(order.pk, (0, 0))
    return CarOnFloor(
        order=order,
        pk=order.pk,
        plate=order.vehicle.short_name,
        car=order.vehicle.described,
        package=_what_for(order),
        waits_for=order.paused_because,
        state=state.word,
        icon=state.icon,
        tone=state.tone,
        settles_until=order.cure_over_at if _settles(order, now=at.now) else None,
        crew=crew,
        hands=", ".join(person.first_name for person in crew),
        done_panels=done,
        all_panels=everything,
        round=order.round,
        promised_at=order.promised_at,
        outlook=outlook_of(order, clock=at),
    )


def _what_for(order: WorkOrder) -> str:
    if order.return_of_id:
        return gettext("return visit")
    return order.booking.get_package_display() if order.booking else ""


PAUSED = FloorWord(word="paused", icon="pause", tone="warn")


def _state(order: WorkOrder, *, now: datetime) -> FloorWord:
    row = order.stage_now.row
    if order.is_paused:
        return PAUSED
    if row.floor_settled and not _settles(order, now=now):
        return row.floor_settled
    return row.floor


def _settles(order: WorkOrder, *, now: datetime) -> bool:
    over = order.cure_over_at
    settling = order.stage_now.may(May.SETTLE) and not order.is_paused
    return settling and over is not None and over > now


def _at(
    cars: Iterable[CarOnFloor],
    *,
    bay_id: int | None = None,
    place_id: int | None = None,
) -> tuple[CarOnFloor, ...]:
    return tuple(
        car
        for car in cars
        if car.order.bay_id == bay_id and car.order.place_id == place_id
    )
