"""What the planned week adds to the air when several bays spray at once."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.utils import timezone

from jobs.air.fire_queries import KeptAir, kept_air
from jobs.air.prep_queries import (
    UsualWipe,
    car_area_m2,
    car_panels,
    taken_as_usual,
    usual_wipe,
)
from jobs.air.queries import SHIFT_MIN, bay_air
from jobs.coverage.blanks import PanelSize
from jobs.coverage.catalogue import Method, laying_min, panels
from jobs.coverage.measured import Car
from jobs.coverage.measured_queries import car_of, measured_on_all
from jobs.models import Booking, WorkOrder
from jobs.stages.table import May, stages_up_to
from mixing.air.hazard_queries import alcohol_of
from mixing.recipes.spec import RecipeSpec
from mixing.rule_sets.queries import rules_of
from mixing.safety.releases import Release, Solvent
from mixing.safety.request import PrepUse
from mixing.safety.rules import SafetyRules
from mixing.safety.several import SprayJob, at_once, several_bays
from mixing.safety.states import SafetyLine, State, worst
from mixing.sheet.queries import newest_versions, spec_of
from shopapp.models import Bay, Shop, shop_day

DAYS = 7
NO_LIMIT = "8-hour limit in the safety rules"
NO_WIPE = "the panel wipe that the shop uses"


@dataclass(frozen=True, kw_only=True)
class CarAir:
    """A car in a bay with the lines of its own safety page."""

    order: WorkOrder
    air: KeptAir


@dataclass(frozen=True, kw_only=True)
class Day:
    """A day of the week ahead: its cars, litres sprayed, and the line on its air."""

    day: date
    cars: int
    mixed_l: float
    solvent_l: float
    line: SafetyLine
    orders: tuple[CarAir, ...] = ()

    @property
    def state(self) -> State:
        """The worst of the bays together and of each bay by itself."""
        own = (line.state for each in self.orders for line in each.air.lines)
        return worst([self.line.state, *own])


@dataclass(frozen=True, kw_only=True)
class Job:
    """A car's job as the air sees it, with the litres mixed for it."""

    spray: SprayJob
    mixed_l: float
    car: CarAir | None = None


@dataclass(frozen=True, kw_only=True)
class Usual:
    """What a booked car is taken to give off."""

    alcohol: Solvent
    recipes: Sequence[RecipeSpec]
    wipe: UsualWipe
    rules: SafetyRules
    measured: Mapping[Car, Mapping[str, PanelSize]]


def week_air(shop: Shop, *, now: datetime) -> list[Day]:
    """Today and the six days after it; days without a car are left out."""
    bays = [bay_air(bay) for bay in Bay.objects.filter(retired=False)]
    days = _cars(shop, now=now)
    usual = _usual(shop, days)
    in_shop = [car for cars in days.values() for car in cars]
    kept = kept_air(car for car in in_shop if isinstance(car, WorkOrder))
    found = []
    for day, cars in days.items():
        jobs = [
            _of_order(each, kept[each.pk])
            if isinstance(each, WorkOrder)
            else _of_booking(each, usual)
            for each in cars
        ]
        spraying = at_once(jobs=[j.spray for j in jobs], bays=max(1, len(bays)))
        found.append(
            Day(
                day=day,
                cars=len(jobs),
                mixed_l=sum(job.mixed_l for job in jobs),
                solvent_l=sum(r.litres for job in jobs for r in job.spray.releases),
                line=several_bays(key=f"week:{day}", jobs=spraying, bays=bays),
                orders=tuple(job.car for job in jobs if job.car is not None),
            )
        )
    return found


def _usual(shop: Shop, days: Mapping[date, Iterable[WorkOrder | Booking]]) -> Usual:
    rules = rules_of(shop)
    specs = map(spec_of, newest_versions().values())
    booked = [car for cars in days.values() for car in cars]
    return Usual(
        alcohol=alcohol_of(shop, rules=rules),
        recipes=[spec for spec in specs if spec.has_alcohol and spec.vv_pct],
        wipe=usual_wipe(rules=rules),
        rules=rules,
        measured=measured_on_all(
            car_of(car.vehicle) for car in booked if isinstance(car, Booking)
        ),
    )


def _cars(shop: Shop, *, now: datetime) -> dict[date, list[WorkOrder | Booking]]:
    """Cars by day: those in the shop and not yet filmed today, bookings as due."""
    today = timezone.localtime(now, shop.zone).date()
    inside = WorkOrder.objects.filter(stage__in=stages_up_to(May.LAY))
    start, _end = shop_day(today, zone=shop.zone)
    _start, end = shop_day(today + timedelta(days=DAYS - 1), zone=shop.zone)
    booked = Booking.objects.filter(
        state=Booking.State.BOOKED, arrives_at__gte=start, arrives_at__lt=end
    )
    days: dict[date, list[WorkOrder | Booking]] = {}
    for order in inside.select_related("vehicle", "bay", "film").prefetch_related(
        "panels"
    ):
        days.setdefault(today, []).append(order)
    for booking in booked.select_related("vehicle").prefetch_related("panels"):
        day = timezone.localtime(booking.arrives_at, shop.zone).date()
        days.setdefault(day, []).append(booking)
    return dict(sorted(days.items()))


def _of_order(order: WorkOrder, air: KeptAir) -> Job:
    """A car in the shop: what its own safety block counts."""
    return Job(
        spray=SprayJob(name=order.number, releases=air.releases, missing=air.missing),
        mixed_l=air.mixed_l,
        car=CarAir(order=order, air=air) if order.bay_id else None,
    )


def _of_booking(car: Booking, usual: Usual) -> Job:
    """A booked car: every alcohol solution in use, and the usual wipe."""
    codes = car_panels(car)
    area = car_area_m2(car.vehicle, codes, measured=usual.measured[car_of(car.vehicle)])
    mixed = {
        spec: area * spec.use_high_ml_per_m2 * (1 + spec.reserve_share) / 1000
        for spec in usual.recipes
    }
    minutes = min(max(_laying_min(car), 1.0), SHIFT_MIN)
    releases = [
        Release(
            name=spec.name,
            litres=litres * (spec.vv_pct or 0.0) / 100,
            start_min=0.0,
            minutes=minutes,
            solvent=usual.alcohol,
        )
        for spec, litres in mixed.items()
        if litres
    ]
    wiped, missing = _wiped(usual, area_m2=area, number=len(codes))
    if usual.alcohol.limit_ppm is None:
        missing = (*missing, NO_LIMIT)
    return Job(
        spray=SprayJob(name=str(car), releases=(*releases, *wiped), missing=missing),
        mixed_l=sum(mixed.values()),
    )


def _laying_min(car: Booking) -> float:
    known = panels()
    return sum(
        laying_min(known[row.panel], method=Method(row.method)).value
        for row in car.panels.all()
    )


def _wiped(
    usual: Usual, *, area_m2: float, number: int
) -> tuple[list[Release], tuple[str, ...]]:
    if usual.wipe.chemical is None:
        return [], (NO_WIPE,)
    figures = usual.wipe.figures(area_m2=area_m2, panels=number)
    use = taken_as_usual(usual.wipe.chemical, figures, rules=usual.rules)
    return _released(use, usual.alcohol)


def _released(use: PrepUse, alcohol: Solvent) -> tuple[list[Release], tuple[str, ...]]:
    if use.volatile_pct == 0 or not use.litres:
        return [], ()
    of = alcohol if use.solvent and use.solvent.name == alcohol.name else use.solvent
    lacks = use.volatile_pct is None or of is None
    if lacks or (of is not alcohol and of and of.limit_ppm is None):
        return [], (f"data sheet of {use.name}",)
    assert of is not None
    assert use.volatile_pct is not None
    release = Release(
        name=use.name,
        litres=use.litres * use.volatile_pct / 100,
        start_min=0.0,
        minutes=use.minutes or SHIFT_MIN,
        solvent=of,
        is_burst=True,
    )
    return [release], ()
