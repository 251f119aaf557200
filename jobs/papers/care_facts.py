"""Facts of the care instructions: the car, the dates, what to do. Nothing internal."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from django.utils import timezone

from jobs.handover.queries import care_lines_of, care_of
from jobs.models import WorkOrder
from jobs.papers.facts import Json, ShopFacts, said, shop_facts, to_json
from jobs.public.customer_says import AN_EDGE_LIFTS
from shopapp.models import the_shop


@dataclass(frozen=True, kw_only=True)
class CareLine:
    """One thing to do, and its last or first day; neither: always."""

    what: str
    until_on: date | None
    from_on: date | None


@dataclass(frozen=True, kw_only=True)
class CareFacts:
    """Everything on the care instructions."""

    shop: ShopFacts
    language: str
    phone: str
    email: str
    customer: str
    vehicle: str
    plate: str
    film: str
    given_on: date
    wash_on: date
    recheck_from_on: date
    recheck_until_on: date
    pockets_on: date
    recheck_at: datetime | None
    lines: tuple[CareLine, ...]
    an_edge_lifts: tuple[str, str]


def care_facts(order: WorkOrder, *, at: datetime) -> Json:
    """Care of the film on this car, counted from its hand-over."""
    shop = the_shop()
    left = order.handed_over_at or at
    dates, day = care_of(order, at=left), timezone.localtime(left, shop.zone).date()
    return to_json(
        CareFacts(
            shop=shop_facts(shop),
            language=order.customer.language,
            phone=shop.phone,
            email=shop.email,
            customer=order.customer.name,
            vehicle=str(order.vehicle),
            plate=order.vehicle.known_by,
            film=order.film.name,
            given_on=day,
            wash_on=dates.wash_from,
            recheck_from_on=dates.recheck_from,
            recheck_until_on=dates.recheck_until,
            pockets_on=dates.pockets_until,
            recheck_at=order.recheck_at,
            lines=tuple(
                CareLine(what=said(line.what), until_on=line.until, from_on=line.since)
                for line in care_lines_of(order, at=left)
            ),
            an_edge_lifts=(said(AN_EDGE_LIFTS[0]), said(AN_EDGE_LIFTS[1])),
        )
    )
