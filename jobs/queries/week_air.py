"""What the planned week adds to the air when several bays spray at once."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.utils import timezone

from jobs.blanks import film_area_m2, panel_size
from jobs.coverage import Body, Method, laying_min, panels
from jobs.models import Booking, OrderPrepUse, Vehicle, WorkOrder
from jobs.queries.measured import car_of, measured_on
from jobs.queries.safety import SHIFT_MIN, bay_air
from jobs.stages import Stage
from mixing.hazards import (
    Release,
    SafetyLine,
    SafetyRules,
    Solvent,
    SprayJob,
    alcohol_of,
    at_once,
    prep_use,
    several_bays,
)
from mixing.models import Chemical
from mixing.queries import newest_versions, rules_of, spec_of
from mixing.recipes import RecipeSpec
from shopapp.models import Bay, Shop, shop_day

DAYS = 7
ORDERS_FOR_PREP = 20
"""The newest orders whose prep chemicals stand for those of the week."""
PREP_MIN = 30.0
"""Wiping a car down: common practice, no published source."""
NO_LIMIT = "8-hour limit in the safety rules"
NO_PREP = "prep chemicals of recent orders"


@dataclass(frozen=True, kw_only=True)
class Day:
    """A day of the week ahead: its cars, litres sprayed, and the line on its air."""

    day: date
    cars: int
    mixed_l: float
    solvent_l: float
    line: SafetyLine


@dataclass(frozen=True, kw_only=True)
class Job:
    """A car's job as the air sees it, with the litres mixed for it."""

    spray: SprayJob
    mixed_l: float


def week_air(shop: Shop, *, now: datetime) -> list[Day]:
    """Today and the six days after it; days without a car are left out."""
    bays = [bay_air(bay) for bay in Bay.objects.filter(retired=False)]
    recipes = [
        spec
        for spec in map(spec_of, newest_versions().values())
        if spec.has_alcohol and spec.vv_pct
    ]
    rules = rules_of(shop)
    alcohol = alcohol_of(shop, rules=rules)
    prep = _prep_of_a_job(alcohol, rules=rules)
    found = []
    for day, cars in _cars(shop, now=now).items():
        jobs = [
            _job(each, alcohol=alcohol, recipes=recipes, prep=prep) for each in cars
        ]
        spraying = at_once(jobs=[j.spray for j in jobs], bays=max(1, len(bays)))
        found.append(
            Day(
                day=day,
                cars=len(jobs),
                mixed_l=sum(job.mixed_l for job in jobs),
                solvent_l=sum(r.litres for job in jobs for r in job.spray.releases),
                line=several_bays(key=f"week:{day}", jobs=spraying, bays=bays),
            )
        )
    return found


def _cars(shop: Shop, *, now: datetime) -> dict[date, list[WorkOrder | Booking]]:
    """Cars by day: those in the shop and not yet filmed today, bookings as due."""
    today = timezone.localtime(now, shop.zone).date()
    inside = WorkOrder.objects.filter(
        stage__in=[Stage.INTAKE, Stage.PREP, Stage.INSTALL]
    )
    start, _end = shop_day(today, zone=shop.zone)
    _start, end = shop_day(today + timedelta(days=DAYS - 1), zone=shop.zone)
    booked = Booking.objects.filter(
        state=Booking.State.BOOKED, arrives_at__gte=start, arrives_at__lt=end
    )
    days: dict[date, list[WorkOrder | Booking]] = {}
    for order in inside.select_related("vehicle").prefetch_related("panels"):
        days.setdefault(today, []).append(order)
    for booking in booked.select_related("vehicle").prefetch_related("panels"):
        day = timezone.localtime(booking.arrives_at, shop.zone).date()
        days.setdefault(day, []).append(booking)
    return dict(sorted(days.items()))


def _job(
    car: WorkOrder | Booking,
    *,
    alcohol: Solvent,
    recipes: Iterable[RecipeSpec],
    prep: tuple[tuple[Release, ...], tuple[str, ...]],
) -> Job:
    """What a car gives off: every alcohol solution in use, and the usual prep."""
    rows = [p for p in car.panels.all() if getattr(p, "struck_off_at", None) is None]
    known = panels()
    minutes = sum(
        laying_min(known[row.panel], method=Method(row.method)).value for row in rows
    )
    area = _area_m2(car.vehicle, [row.panel for row in rows])
    mixed = {
        spec.name: area * spec.use_high_ml_per_m2 * (1 + spec.reserve_share) / 1000
        for spec in recipes
    }
    strength = {spec.name: spec.vv_pct or 0.0 for spec in recipes}
    releases = [
        Release(
            name=name,
            litres=litres * strength[name] / 100,
            start_min=0.0,
            minutes=min(max(minutes, 1.0), SHIFT_MIN),
            solvent=alcohol,
        )
        for name, litres in mixed.items()
        if litres
    ]
    usual, missing = prep
    if alcohol.limit_ppm is None:
        missing = (*missing, NO_LIMIT)
    name = car.number if isinstance(car, WorkOrder) else str(car)
    return Job(
        spray=SprayJob(name=name, releases=(*releases, *usual), missing=missing),
        mixed_l=sum(mixed.values()),
    )


def _area_m2(vehicle: Vehicle, codes: list[str]) -> float:
    body = Body(vehicle.body)
    measured = measured_on(car_of(vehicle))
    sizes = [
        panel_size(code, size_class=vehicle.size_class, body=body, measured=measured)
        for code in codes
    ]
    return film_area_m2(sizes).value if sizes else 0.0


def _prep_of_a_job(
    alcohol: Solvent, *, rules: SafetyRules
) -> tuple[tuple[Release, ...], tuple[str, ...]]:
    """The mean of recent orders by chemical; what is missing where nobody recorded."""
    uses = list(
        OrderPrepUse.objects.select_related("chemical").order_by("-pk")[
            : ORDERS_FOR_PREP * 5
        ]
    )
    orders = list(dict.fromkeys(use.workorder_id for use in uses))[:ORDERS_FOR_PREP]
    if not orders:
        return (), (NO_PREP,)
    litres: dict[Chemical, float] = {}
    for use in uses:
        if use.chemical is not None and use.workorder_id in orders:
            litres[use.chemical] = litres.get(use.chemical, 0.0) + use.litres
    releases: list[Release] = []
    missing: list[str] = []
    for chemical, total in litres.items():
        release, lacks = _usual(chemical, total / len(orders), alcohol, rules)
        releases += release
        missing += lacks
    return tuple(releases), tuple(missing)


def _usual(
    chemical: Chemical, litres: float, alcohol: Solvent, rules: SafetyRules
) -> tuple[list[Release], list[str]]:
    use = prep_use(chemical, litres=litres, rules=rules)
    if use.volatile_pct == 0 or not litres:
        return [], []
    of = alcohol if use.solvent and use.solvent.name == alcohol.name else use.solvent
    lacks = use.volatile_pct is None or of is None
    if lacks or (of is not alcohol and of and of.limit_ppm is None):
        return [], [f"data sheet of {chemical.name}"]
    assert of is not None
    assert use.volatile_pct is not None
    release = Release(
        name=chemical.name,
        litres=litres * use.volatile_pct / 100,
        start_min=0.0,
        minutes=PREP_MIN,
        solvent=of,
    )
    return [release], []
