"""The desk's day: which cars come, which are fetched, which are worked on."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from django.db.models import Q
from django.utils import timezone

from jobs.bookings.queries import not_come, with_heads
from jobs.handover.queries import leaving_cars
from jobs.models import Booking, WorkOrder
from jobs.money.queries import money_of
from jobs.stages.table import CLOSED
from jobs.workorders.queries import order_head
from shopapp.models import Shop, shop_day, the_shop


@dataclass(frozen=True, kw_only=True)
class Leaves:
    """A car that is fetched: whether it may leave, and what is owed.

    looked_at  the final look since which it may leave; None where none was needed
    """

    order: WorkOrder
    is_ready: bool
    looked_at: datetime | None
    owed: Decimal


@dataclass(frozen=True, kw_only=True)
class DeskDay:
    """A day at the desk.

    missed  expected before, not here: said on the shop's own day alone
    """

    day: date
    comes: list[Booking]
    missed: list[Booking]
    leaves: list[Leaves]


def desk_day(day: date, *, now: datetime) -> DeskDay:
    """Cars that come on a day, and cars that are fetched on it, by the hour.

    Those that are late are fetched too; on the day itself also those that are ready.
    """
    shop = the_shop()
    start, end = shop_day(day, zone=shop.zone)
    booked = with_heads().filter(state=Booking.State.BOOKED)
    comes = booked.filter(arrives_at__gte=start, arrives_at__lt=end)
    is_today = day == timezone.localtime(now, shop.zone).date()
    return DeskDay(
        day=day,
        comes=list(comes.order_by("arrives_at", "pk")),
        missed=list(not_come(now=now, shop=shop)) if is_today else [],
        leaves=_leaves(start, end, is_today=is_today, now=now),
    )


def _leaves(
    start: datetime, end: datetime, *, is_today: bool, now: datetime
) -> list[Leaves]:
    wanted = Q(promised_at__gte=start, promised_at__lt=end)
    wanted |= Q(promised_at__lt=min(start, now))
    ready = {
        car.order.pk: car.looked
        for car in leaving_cars(now=now)
        if car.is_ready and not car.order.is_paused
    }
    if is_today:
        wanted |= Q(pk__in=ready)
    orders = order_head().exclude(stage=CLOSED.value).filter(wanted)
    return [
        Leaves(
            order=order,
            is_ready=order.pk in ready,
            looked_at=look.at if (look := ready.get(order.pk)) else None,
            owed=money_of(order).owed,
        )
        for order in orders.prefetch_related("payments").order_by("promised_at", "pk")
    ]


def at_work(day: date, *, now: datetime, shop: Shop) -> list[WorkOrder]:
    """Cars that are here and still to be worked on that day, by arrival.

    On a later day without those that are to leave before it.
    """
    start, _ = shop_day(day, zone=shop.zone)
    found = order_head().exclude(stage=CLOSED.value)
    if day > timezone.localtime(now, shop.zone).date():
        found = found.filter(Q(promised_at__gte=start) | Q(promised_at__lt=now))
    return list(found.order_by("arrived_at", "pk"))
