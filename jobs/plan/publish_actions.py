"""What publishing a plan asks and tells: the facts once more, and the cars' history."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from typing import Any

from django.utils import timezone

from jobs.crews.queries import absences
from jobs.models import BayPlan, Booking, WorkOrder
from jobs.plan.making import changed_since
from jobs.plan.moves import FilmWork, film_works
from jobs.plan.name_queries import car_key, names_of, pks_of
from jobs.plan.naming import named
from jobs.plan.planned import ShopPlan
from jobs.plan.shop import ShopFacts
from jobs.plan.shop_queries import shop_facts
from jobs.plan.stored import plan_from_json
from shopapp.frame import Act, Refused
from shopapp.models import the_shop
from shopapp.say import Say, say


@dataclass(frozen=True, kw_only=True)
class Cars:
    """The cars of a plan, locked: by their key the row whose history tells of them."""

    rows: dict[str, Booking | WorkOrder]


def lock_cars(act: Act, plan_pk: int) -> Cars:
    """Lock the cars of a plan, so that none goes on while it is published."""
    row = BayPlan.objects.filter(pk=plan_pk).first()
    keys = [car.car for car in plan_from_json(row.facts).cars] if row else []
    bookings = pks_of("booking", keys)
    orders = dict(
        WorkOrder.objects.filter(booking__in=bookings).values_list("booking", "pk")
    )
    expected = act.lock_all(Booking, set(bookings) - set(orders))
    here = act.lock_all(WorkOrder, [*orders.values(), *pks_of("order", keys)])
    rows: list[Booking | WorkOrder] = [*expected, *here]
    return Cars(rows={car_key(row): row for row in rows})


def refuse_changed(act: Act, plan: ShopPlan) -> None:
    """Refuse a plan that no longer holds, with a sentence for each reason."""
    facts = shop_facts(now=act.now)
    said = [*changed_since(plan, facts), *_gone(plan), *_spots_gone(plan, facts)]
    if said:
        names = names_of(plan)
        raise Refused(*(named(each, names) for each in said))


def tell_the_cars(
    act: Act, cars: Cars, *, plan: ShopPlan, was: ShopPlan | None
) -> None:
    """An event for each car whose day, bay or people are others than before."""
    before = film_works(was) if was else {}
    now = film_works(plan)
    for key, row in cars.rows.items():
        work = now.get(key)
        if work is None or _same(work, before.get(key)):
            act.unchanged(row)
        else:
            act.event(row, "planned", **_facts(work))


def _same(now: FilmWork, was: FilmWork | None) -> bool:
    """Whether day, bay and people are the same; the hour may be another."""
    if was is None:
        return False
    zone = the_shop().zone
    days = [timezone.localtime(one.starts_at, zone).date() for one in (now, was)]
    return (
        days[0] == days[1] and now.bay == was.bay and set(now.people) == set(was.people)
    )


def _facts(work: FilmWork) -> dict[str, Any]:
    return {
        "now_for": work.starts_at,
        "bay": next(iter(pks_of("bay", [work.bay])), None),
        "people": pks_of("person", work.people),
    }


def _gone(plan: ShopPlan) -> list[Say]:
    """Whose absence was entered after the plan was made, on a day of their work."""
    zone = the_shop().zone
    ends = [timezone.localtime(step.ends_at, zone).date() for step in plan.steps]
    if not ends:
        return []
    first = timezone.localtime(plan.as_of, zone).date()
    new = absences(first - timedelta(days=1), max(ends)).filter(said_at__gt=plan.as_of)
    said = []
    for row in new:
        key = f"person-{row.person_id}"
        days = [
            timezone.localtime(step.starts_at, zone).date()
            for step in plan.steps
            if key in step.people
        ]
        if any(row.first_day <= day <= row.last_day for day in days):
            said.append(
                say(
                    "{person} is away since this plan was made. Plan again.", person=key
                )
            )
    return said


def _spots_gone(plan: ShopPlan, facts: ShopFacts) -> list[Say]:
    known = {spot.key for spot in facts.spots} | {""}
    gone = dict.fromkeys(s.spot for s in plan.steps if s.spot not in known)
    return [say("{spot} is no longer in use. Plan again.", spot=spot) for spot in gone]
