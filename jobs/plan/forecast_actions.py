"""The plan as it stands now, and when each car is ready: kept for the pages.

No press of a button, so no revision by itself: only what a page shows moves it.
"""

from __future__ import annotations

from datetime import datetime

from django.db.models import F

from jobs.models import BayPlan, Forecast, WorkOrder
from jobs.plan.car_queries import is_ready, still_here
from jobs.plan.name_queries import pks_of
from jobs.plan.planned import CarPlanned, ShopPlan
from jobs.plan.queries import State, revision_now
from jobs.plan.stored import plan_from_json, plan_to_json, sentences_to_json
from shopapp.background import ring
from shopapp.frame import Act
from shopapp.models import Revision

CARRY_ON = "solvers.carry_on"
"""Name of the worker's task that is rung where what was recorded moves the plan."""


def ask_to_carry_on(act: Act) -> None:
    """Ring for it: what was just recorded moves the plan. One bell waits at a time."""
    ring(act, CARRY_ON, subject="the plan")


def keep_as_of(now: datetime, *, revision: int) -> None:
    """Nothing has moved: it is true at this moment too."""
    rows = BayPlan.objects.filter(state=State.STANDING)
    rows.update(made_at=now, revision=revision)
    Forecast.objects.update(as_of=now)


def keep_standing(
    plan: ShopPlan, *, of: BayPlan | None, now: datetime, revision: int | None
) -> bool:
    """Keep the plan as it stands and what it says of each car; True where that moved.

    of  the plan in force that it carries on
    """
    row = BayPlan.objects.filter(state=State.STANDING).first()
    is_shown = row is None or _shown(plan_from_json(row.facts)) != _shown(plan)
    BayPlan.objects.update_or_create(
        state=State.STANDING,
        defaults={
            "problem_hash": plan.problem_hash,
            "facts": plan_to_json(plan),
            "made_at": now,
            "revision": revision,
        },
    )
    return _keep_forecasts(plan, of=of, now=now) or is_shown


def _shown(plan: ShopPlan) -> tuple[object, ...]:
    """What a page shows of it: all but when it was made, and from what."""
    return plan.steps, plan.cars, plan.unplaced, plan.clashes, plan.assumed


def _keep_forecasts(plan: ShopPlan, *, of: BayPlan | None, now: datetime) -> bool:
    wanted = _ready_already() | {
        pk: _of_car(car) for car in plan.cars for pk in pks_of("booking", [car.car])
    }
    known = {row.booking_id: row for row in Forecast.objects.all()}
    gone = known.keys() - wanted.keys()
    Forecast.objects.filter(booking__in=gone).delete()
    moved = {pk for pk in wanted if pk not in known or not _same(known[pk], wanted[pk])}
    for pk in moved:
        Forecast.objects.update_or_create(
            booking_id=pk, defaults={**wanted[pk], "as_of": now, "plan": of}
        )
    Forecast.objects.exclude(booking__in=moved).update(as_of=now, plan=of)
    return bool(gone or moved)


Told = dict[str, object]


def _of_car(car: CarPlanned) -> Told:
    return {
        "ready_at": car.ready_at,
        "standing": car.standing,
        "why": sentences_to_json(car.why),
    }


def _ready_already() -> dict[int, Told]:
    """Cars that wait for their customer: looked at, or back and put right."""
    return {
        order.booking_id: _of_ready(order)
        for order in still_here()
        if is_ready(order) and order.booking_id
    }


def _of_ready(order: WorkOrder) -> Told:
    looks = [look.at for look in order.final_looks.all()]
    struck = [panel.struck_off_at for panel in order.panels.all()]
    at = max(looks or [each for each in struck if each])
    late = at > order.promised_at
    standing = Forecast.Standing.LATE if late else Forecast.Standing.FITS
    return {"ready_at": at, "standing": standing.value, "why": []}


def _same(row: Forecast, told: Told) -> bool:
    return all(getattr(row, name) == value for name, value in told.items())


def tell_pages() -> None:
    """Open pages learn of it."""
    Revision.objects.filter(pk=1).update(number=F("number") + 1)


def know_own(revision: int) -> None:
    """The revision went up by what this has kept itself: it is not done twice."""
    if revision_now() == revision + 1:
        BayPlan.objects.filter(state=State.STANDING).update(revision=revision + 1)
