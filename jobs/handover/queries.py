"""Cars that leave: who is ready, what is owed, when they come back."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta

from django.db.models import Q
from django.utils import timezone

from jobs.cure.dates import CareDates, care_dates
from jobs.cure.queries import cure_rule
from jobs.models import Film, FinalLook, WorkOrder, WorkOrderEvent
from jobs.opening.queries import opening_of
from jobs.promises.queries import Outlook, clock, outlook_of
from jobs.public.customer_says import Care, care_lines
from jobs.returns.queries import bare_returns, last_settled
from jobs.rules.table import Concern, Rule
from jobs.stages.queries import stage_facts
from jobs.stages.table import May, stages_that
from jobs.workorders.queries import WayOn, order_head, ways_on
from shopapp.models import the_shop

RECENT = timedelta(days=60)
ANSWERS_A_WISH = ("recheck_booked", "recheck_found", "came_back", "return_booked")
"""Events after which a customer's wish for a recheck has its answer."""


@dataclass(frozen=True, kw_only=True)
class Leaving:
    """A car on the hand-over list."""

    order: WorkOrder
    ready_at: datetime
    is_settled: bool
    looked: FinalLook | None
    outlook: Outlook | None = None
    needs_no_film: bool = False

    @property
    def is_ready(self) -> bool:
        """In cure, its time over, and looked at since; or back, and put right."""
        return self.needs_no_film or _is_ready(
            self.order, self.looked, is_settled=self.is_settled
        )


def leaving_cars(*, now: datetime) -> list[Leaving]:
    """Cars in inspection and cure, those that may leave first on top."""
    bare = bare_returns()
    orders = (
        order_head()
        .filter(Q(stage__in=stages_that(May.LOOK)) | Q(pk__in=bare))
        .prefetch_related("final_looks")
        .order_by("promised_at", "pk")
    )
    at = clock(now=now)
    found = [
        replace(
            _leaving(order, now=now),
            outlook=outlook_of(order, clock=at),
            needs_no_film=order.pk in bare,
        )
        for order in orders
    ]
    return sorted(found, key=lambda car: (not car.is_ready, car.ready_at))


def _leaving(order: WorkOrder, *, now: datetime) -> Leaving:
    looks = [look for look in order.final_looks.all() if look.round == order.round]
    over = order.cure_over_at
    return Leaving(
        order=order,
        ready_at=ready_at(order),
        is_settled=over is not None and over <= now,
        looked=looks[-1] if looks else None,
    )


def _is_ready(order: WorkOrder, look: FinalLook | None, *, is_settled: bool) -> bool:
    over = order.cure_over_at
    return bool(over and is_settled and look and look.at >= over)


def is_ready(order: WorkOrder, *, now: datetime) -> bool:
    """Whether only the customer is missing: settled, and looked at since."""
    return _leaving(order, now=now).is_ready


def ready_at(order: WorkOrder) -> datetime:
    """When the customer may come: the promise, or later if the film settles longer."""
    over = order.cure_over_at if order.stage_now.may(May.SETTLE) else None
    return max(order.promised_at, over) if over else order.promised_at


def way_out(order: WorkOrder, *, now: datetime) -> WayOn | None:
    """The way to hand-over and what the rules say of it; None before cure.

    That the customer has not agreed yet is not said: the form asks for it.
    """
    for way in ways_on(order, now=now):
        if way.is_hand_over:
            return WayOn(to=way.to, is_redo=False, concerns=_unasked(way.concerns))
    return None


def _unasked(concerns: tuple[Concern, ...]) -> tuple[Concern, ...]:
    return tuple(c for c in concerns if c.rule is not Rule.HAND_OVER_AGREED)


def ready_since(order: WorkOrder, *, now: datetime) -> datetime | None:
    """The final look since which the car may leave, whatever is owed; else None."""
    if order.is_paused or order.is_closed:
        return None
    facts = stage_facts(order, now=now)
    if facts.needs_no_film:
        return last_settled(order)
    if not order.stage_now.may(May.SETTLE):
        return None
    over, looked = facts.cure_over_at, facts.final_look_at
    return looked if over and over <= now and looked and looked >= over else None


def care_of(order: WorkOrder, *, at: datetime) -> CareDates:
    """Dates of care from a hand-over at `at`, by the film maker's days."""
    rule = cure_rule(no_wash_days=order.film.wash_after_days)
    return care_dates(
        handed_over_on=timezone.localtime(at, the_shop().zone).date(), rule=rule
    )


def care_lines_of(order: WorkOrder, *, at: datetime) -> tuple[Care, ...]:
    """What the customer of this car is told, on paper and phone alike."""
    return care_lines(
        care_of(order, at=at),
        first_day=timezone.localtime(at, the_shop().zone).date(),
        is_matte=order.film.finish == Film.Finish.MATTE,
    )


def recheck_from(order: WorkOrder, *, at: datetime) -> datetime:
    """The first moment of the recheck's window: its first open day, at opening."""
    shop = the_shop()
    day = care_of(order, at=at).recheck_from
    return opening_of(shop).opening_on(day, like=timezone.localtime(at, shop.zone))


def asked_rechecks(*, now: datetime) -> list[tuple[WorkOrderEvent, date]]:
    """Rechecks that customers asked for and nobody has answered, with the day."""
    events = (
        WorkOrderEvent.objects.filter(
            what__in=["recheck_asked", *ANSWERS_A_WISH], done_at__gte=now - RECENT
        )
        .select_related("workorder__vehicle", "workorder__customer")
        .order_by("pk")
    )
    newest = {event.workorder_id: event for event in events}
    return [
        (event, date.fromisoformat(event.facts["on"]))
        for event in newest.values()
        if event.what == "recheck_asked"
    ]


def asked_recheck_of(order: WorkOrder, *, now: datetime) -> date | None:
    """The day that this customer asked for and waits to hear about."""
    asked = {event.workorder_id: on for event, on in asked_rechecks(now=now)}
    return asked.get(order.pk)
