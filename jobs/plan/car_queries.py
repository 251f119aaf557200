"""One car as the plan sees it, from its booking or its order. No query of its own."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import Any

from django.db.models import OuterRef, Prefetch, QuerySet, Subquery

from jobs.coverage.catalogue import Package
from jobs.cure.dates import CureRule, settled_at
from jobs.cure.queries import package_of, settling_of
from jobs.models import Booking, CarWish, Film, Pull, WorkOrder, WorkOrderEvent
from jobs.opening.hours import AFTERNOON, NOON, Opening
from jobs.package_hours.defaults import PackageTimes
from jobs.plan.car_work import (
    Added,
    PanelToDo,
    ToDo,
    cut_of,
    lays_film,
    works_of,
)
from jobs.plan.shop import Car, Hand, Skill
from jobs.stages.table import CLOSED, May, Stage
from shopapp.models import Person, Place

SKILLS = {May.READY: Skill.PREP, May.LAY: Skill.INSTALL, May.LOOK: Skill.INSPECT}
WORKED_ON = {
    stage: SKILLS[act]
    for stage in Stage
    if (act := stage.row.main_act) and not stage.may(May.SETTLE)
}
"""Stages in which somebody is at the car, and what that person must know."""


@dataclass(frozen=True, kw_only=True)
class Known:
    """What is the same for every car.

    now      in the shop's zone
    spots    keys of what is in use
    helper   who may be the second person at the film work; None: nobody is left
    cut_min  None: no film is cut here
    """

    now: datetime
    opening: Opening
    hours: Mapping[Package, PackageTimes]
    cure: CureRule
    spots: frozenset[str]
    hands: tuple[Hand, ...]
    helper: Skill | None
    has_wash: bool
    cut_min: int | None


def booking_key(pk: int) -> str:
    """How a plan calls the car of a booking."""
    return f"booking-{pk}"


def order_key(order: WorkOrder) -> str:
    """How a plan calls the car of an order: by its booking, if it has one."""
    return booking_key(order.booking_id) if order.booking_id else f"order-{order.pk}"


def car_name(row: Booking | WorkOrder) -> str:
    """How the shop calls the car of a booking or an order."""
    return row.vehicle.short_name


# -- rows --------------------------------------------------------------------------


def expected() -> QuerySet[Booking]:
    """Bookings of cars that have not come, with what the plan asks of them."""
    return (
        Booking.objects.filter(state=Booking.State.BOOKED)
        .select_related("vehicle", "film", "wish")
        .prefetch_related("panels", "added_work", "wish__people")
        .order_by("pk")
    )


def still_here() -> QuerySet[WorkOrder]:
    """Open orders, the one last touched first, with what the plan asks of them."""
    events = WorkOrderEvent.objects.filter(workorder=OuterRef("pk"))
    # Being planned is no work on it.
    last = events.exclude(action__startswith="plan.").order_by("-pk")
    taken = Pull.objects.filter(state=Pull.State.TAKEN)
    return (
        WorkOrder.objects.exclude(stage=CLOSED.value)
        .select_related("vehicle", "film", "booking__wish", "place")
        .prefetch_related("panels", "added_work", "crew", "final_looks")
        .prefetch_related("booking__wish__people", Prefetch("pulls", taken))
        .annotate(touched_at=Subquery(last.values("done_at")[:1]))
        .order_by("-touched_at", "-pk")
    )


def is_ready(order: WorkOrder) -> bool:
    """Whether it only waits for its customer."""
    panels = order.panels.all() if order.return_of_id else ()
    if panels and all(row.struck_off_at for row in panels):
        # It came back and leaves with the film that it has.
        return True
    looked = any(look.round == order.round for look in order.final_looks.all())
    return looked and order.stage_now.may(May.FINAL_LOOK)


# -- cars --------------------------------------------------------------------------


@dataclass(frozen=True, kw_only=True)
class Expected:
    """A car that has not come: what was agreed, or is being agreed.

    day, half  when its film work was fixed to begin
    """

    key: str
    name: str
    package: Package
    film: Film
    arrives_at: datetime
    promised_at: datetime
    panels: tuple[PanelToDo, ...]
    added: tuple[Added, ...] = ()
    bay: int | None = None
    people: tuple[Person, ...] = ()
    day: date | None = None
    half: str = ""
    weight: int = 1


def expected_car(booking: Booking, *, known: Known) -> Car:
    """A booked car that has not come."""
    wish = _wish(booking)
    agreed = Expected(
        key=booking_key(booking.pk),
        name=car_name(booking),
        package=Package(booking.package),
        film=booking.film,
        arrives_at=booking.arrives_at,
        promised_at=booking.promised_at,
        panels=panels_to_do(booking.panels.all()),
        added=_added(booking.added_work.all()),
        bay=booking.bay_id,
        people=tuple(wish.people.all()) if wish else (),
        day=_fixed(wish)[0],
        half=_fixed(wish)[1],
        weight=wish.weight if wish else 1,
    )
    return car_to_come(agreed, known=known)


def car_to_come(agreed: Expected, *, known: Known) -> Car:
    """A car that has not come, booked or not yet."""
    times = known.hours[agreed.package]
    todo = ToDo(
        times=times,
        panels=agreed.panels,
        added=agreed.added,
        helper=known.helper,
        has_wash=known.has_wash,
        cut_min=known.cut_min,
    )
    return Car(
        key=agreed.key,
        name=agreed.name,
        arrives_at=agreed.arrives_at,
        promised_at=agreed.promised_at,
        works=works_of(todo),
        weight=agreed.weight,
        cut=cut_of(todo),
        settling=settling_of(agreed.film, agreed.package, rule=known.cure),
        ready_from=_ready_from(
            max(agreed.arrives_at, known.now), times=times, known=known
        ),
        bay=_spot("bay", agreed.bay, known),
        people=_layers(agreed.people, known),
        **_between(agreed.day, agreed.half, known),
    )


def order_car(order: WorkOrder, *, known: Known, at_it: tuple[str, ...]) -> Car:
    """A car that is here.

    at_it  who is at it now; nobody: its stage goes on when it is planned
    """
    times = known.hours[package_of(order)]
    todo = _todo(order, times=times, known=known, at_it=at_it)
    wish = _wish(order.booking) if order.booking else None
    people = order.crew.all() or (wish.people.all() if wish else ())
    return Car(
        key=order_key(order),
        name=car_name(order),
        arrives_at=order.arrived_at,
        promised_at=order.promised_at,
        works=works_of(todo),
        weight=wish.weight if wish else 1,
        is_here=True,
        is_paused=order.is_paused,
        cut=cut_of(todo),
        ready_from=_ready_from(order.arrived_at, times=times, known=known),
        bay=_bay(order, known),
        place=_place(order, known),
        people=_layers(people, known),
        **_film(order, known),
        **({} if order.stage_now.may(May.LAY) else _between(*_fixed(wish), known)),
    )


def _todo(
    order: WorkOrder, *, times: PackageTimes, known: Known, at_it: tuple[str, ...]
) -> ToDo:
    taken = any(pull.round == order.round for pull in order.pulls.all())
    return ToDo(
        stage=order.stage_now,
        times=times,
        panels=panels_to_do(order.panels.all()),
        added=_added(order.added_work.all()),
        began=bool(at_it),
        crew=at_it,
        helper=known.helper,
        has_wash=known.has_wash,
        cut_min=None if taken else known.cut_min,
    )


def _film(order: WorkOrder, known: Known) -> dict[str, Any]:
    """How long its film settles, or until when where it has been laid."""
    settling = settling_of(order.film, package_of(order), rule=known.cure)
    laid_at = _last_laid(order)
    if lays_film(order.stage_now):
        return {"settling": settling}
    if laid_at is None:
        return {"settles_until": order.cure_over_at}
    over = settled_at(
        laid_at=laid_at.astimezone(known.now.tzinfo),
        settling=settling,
        opening=known.opening,
    )
    return {"settles_until": order.cure_over_at or over}


def people_at_work(
    orders: Iterable[WorkOrder], *, known: Known
) -> dict[int, tuple[str, ...]]:
    """Who is at which car now, by the order's key.

    A person stands in the crew of several cars and is at one of them: the one that
    was touched last. Orders come in that order.
    """
    free = {hand.key: hand for hand in known.hands if not _is_away(hand, known.now)}
    found: dict[int, tuple[str, ...]] = {}
    for order in orders:
        skill = WORKED_ON.get(order.stage_now)
        if skill is None or order.is_paused:
            continue
        crew = (f"person-{person.pk}" for person in order.crew.all())
        able = [key for key in crew if key in free and skill in free[key].skills]
        if able:
            found[order.pk] = (able[0],)
            del free[able[0]]
    return found


def _is_away(hand: Hand, at: datetime) -> bool:
    return any(start <= at < end for start, end in hand.away)


def panels_to_do(rows: Iterable[Any]) -> tuple[PanelToDo, ...]:
    """Its panels, those struck off left out."""
    return tuple(
        PanelToDo(
            code=row.panel,
            method=row.method,
            more_min=getattr(row, "edge_min", 0),
            is_ready=getattr(row, "ready_at", None) is not None,
            is_laid=getattr(row, "laid_at", None) is not None,
        )
        for row in rows
        if getattr(row, "struck_off_at", None) is None
    )


def _added(rows: Iterable[Any]) -> tuple[Added, ...]:
    return tuple(
        Added(minutes=row.minutes, when=row.when, skill=row.skill)
        for row in rows
        if row.done_at is None
    )


def _wish(booking: Booking) -> CarWish | None:
    return getattr(booking, "wish", None)


def _layers(people: Iterable[Any], known: Known) -> tuple[str, ...]:
    """Of these people those who lay film."""
    able = {hand.key for hand in known.hands if Skill.INSTALL in hand.skills}
    return tuple(key for p in people if (key := f"person-{p.pk}") in able)


def _fixed(wish: CarWish | None) -> tuple[date | None, str]:
    return (wish.day, wish.half) if wish else (None, "")


def _between(day: date | None, half: str, known: Known) -> dict[str, Any]:
    """The day, or the half of it, on which its film work was fixed to begin."""
    if day is None:
        return {}
    start = NOON if half == CarWish.Half.AFTERNOON else time.min
    until_noon = half == CarWish.Half.MORNING
    end_day = day if until_noon else day + timedelta(days=1)
    return {
        "not_before": _at(day, start, known),
        "not_after": _at(end_day, NOON if until_noon else time.min, known),
    }


def _at(day: date, at: time, known: Known) -> datetime:
    return datetime.combine(day, at, tzinfo=known.now.tzinfo)


def _ready_from(
    arrives_at: datetime, *, times: PackageTimes, known: Known
) -> datetime | None:
    """The morning, or the noon, after the nights that its package stays."""
    in_afternoon = times.ready_from == AFTERNOON
    if not times.nights and not in_afternoon:
        return None
    arrives = arrives_at.astimezone(known.now.tzinfo).date()
    day = known.opening.first_open_day(arrives + timedelta(days=times.nights))
    hours = known.opening.hours_on(day)
    opens_at = hours.opens_at if hours else known.opening.opens_at
    return _at(day, NOON if in_afternoon else opens_at, known)


def _last_laid(order: WorkOrder) -> datetime | None:
    laid = [panel.laid_at for panel in order.panels.all() if not panel.struck_off_at]
    return max((at for at in laid if at), default=None)


def _bay(order: WorkOrder, known: Known) -> str:
    if order.bay_id or order.stage_now.may(May.SETTLE):
        return _spot("bay", order.bay_id, known)
    return _spot("bay", order.booking.bay_id if order.booking else None, known)


def _place(order: WorkOrder, known: Known) -> str:
    place = order.place
    is_spot = place is not None and place.kind in (Place.Kind.SETTLING, Place.Kind.WASH)
    return _spot("place", order.place_id, known) if is_spot else ""


def _spot(kind: str, pk: int | None, known: Known) -> str:
    key = f"{kind}-{pk}"
    return key if key in known.spots else ""
