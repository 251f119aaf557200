"""Facts of the morning bundle: the desk's day, and the papers that lie under it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from jobs.desk.day_queries import Leaves, at_work, desk_day
from jobs.models import Booking, Paper
from jobs.opening.queries import opening_of
from jobs.papers.facts import Json, ShopFacts, shop_facts, to_json
from shopapp.models import the_shop


@dataclass(frozen=True, kw_only=True)
class ComesFacts:
    """A car that comes."""

    arrives_at: datetime
    car: str
    package: str
    film: str
    customer: str
    phone: str
    promised_at: datetime


@dataclass(frozen=True, kw_only=True)
class LeavesFacts:
    """A car that is fetched."""

    promised_at: datetime
    is_ready: bool
    number: str
    car: str
    key_tag: str
    customer: str
    phone: str
    owed: Decimal


@dataclass(frozen=True, kw_only=True)
class PartFacts:
    """A paper of the bundle."""

    paper: int
    number: str
    version: int
    about: str


@dataclass(frozen=True, kw_only=True)
class MorningFacts:
    """The first page, and in their order the papers after it."""

    shop: ShopFacts
    day_on: date
    open_from_to: str
    comes: tuple[ComesFacts, ...]
    leaves: tuple[LeavesFacts, ...]
    parts: tuple[PartFacts, ...]


def morning_facts(day: date, *, size: str, at: datetime) -> Json:
    """The day as it stands, over the newest papers of this size."""
    shop, known = the_shop(), desk_day(day, now=at)
    hours = opening_of(shop).hours_on(day)
    return to_json(
        MorningFacts(
            shop=shop_facts(shop),
            day_on=day,
            open_from_to=f"{hours.opens_at:%H:%M}–{hours.closes_at:%H:%M}"
            if hours
            else "",
            comes=tuple(_comes(row) for row in (*known.missed, *known.comes)),
            leaves=tuple(_leaves(row) for row in known.leaves),
            parts=tuple(_parts(day, size=size, at=at)),
        )
    )


def _comes(row: Booking) -> ComesFacts:
    return ComesFacts(
        arrives_at=row.arrives_at,
        car=row.vehicle.whole_name,
        package=row.get_package_display(),
        film=row.film.name,
        customer=row.customer.name,
        phone=row.customer.phone,
        promised_at=row.promised_at,
    )


def _leaves(row: Leaves) -> LeavesFacts:
    order = row.order
    return LeavesFacts(
        promised_at=order.promised_at,
        is_ready=row.is_ready,
        number=order.number,
        car=order.vehicle.whole_name,
        key_tag=order.key_tag,
        customer=order.customer.name,
        phone=order.customer.phone,
        owed=row.owed,
    )


def _parts(day: date, *, size: str, at: datetime) -> list[PartFacts]:
    """The day sheet where there is a plan, then the work orders by arrival."""
    orders = at_work(day, now=at, shop=the_shop())
    of_orders = Paper.objects.filter(kind=Paper.Kind.WORK_ORDER, workorder__in=orders)
    of_day = Paper.objects.filter(kind=Paper.Kind.DESK_SHEET, subject=f"day {day}")
    newest: dict[int | None, Paper] = {
        paper.workorder_id: paper
        for paper in (of_orders | of_day).filter(size=size).order_by("version")
    }
    about: dict[int | None, str] = {
        order.pk: order.vehicle.whole_name for order in orders
    }
    return [
        PartFacts(
            paper=paper.pk,
            number=paper.number,
            version=paper.version,
            about=about.get(key, ""),
        )
        for key in (None, *about)
        if (paper := newest.get(key))
    ]
