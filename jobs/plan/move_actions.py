"""What a person fixes for one car: day, half, bay, people, before others or not."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from django.utils import timezone

from jobs.models import Booking, CarWish, WorkOrder
from jobs.opening.queries import opening_of
from jobs.plan.fixed_day import refused_day, stays_put
from jobs.plan.forecast_actions import ask_to_carry_on
from jobs.plan.wish_actions import told_wish, write_wish
from shopapp.frame import Act, Json, Refused, action
from shopapp.models import Bay, Person, the_shop
from shopapp.say import Say, say


@action("plan.move")
def move_car(
    act: Act,
    *,
    booking_pk: int,
    day: date | None = None,
    half: str = CarWish.Half.ANY,
    bay: Bay | None = None,
    people: Sequence[Person] = (),
    weight: int = CarWish.Weight.USUAL,
) -> Json:
    """Fix a car for the plan: what is left empty, the plan chooses."""
    booking = act.lock(Booking, booking_pk)
    order = WorkOrder.objects.filter(booking=booking).first()
    row: Booking | WorkOrder = booking
    if order is not None:
        act.unchanged(booking)
        row = act.lock(WorkOrder, order.pk)
    _refuse_late(booking, row)
    _refuse_odd(act, booking, day=day, half=half, people=people)
    booking.bay = bay
    booking.save(update_fields=["bay"])
    write_wish(booking, day=day, half=half, people=people, weight=weight)
    first = CarWish.Weight.FIRST.label if weight == CarWish.Weight.FIRST else ""
    act.event(row, "plan_fixed", **told_wish(booking), bay=bay, first=first)
    ask_to_carry_on(act)
    return {"pk": booking.pk}


def _refuse_late(booking: Booking, row: Booking | WorkOrder) -> None:
    why = stays_put(
        is_cancelled=booking.state == Booking.State.CANCELLED,
        stage=row.stage_now if isinstance(row, WorkOrder) else None,
    )
    if why:
        raise Refused(why)


def _refuse_odd(
    act: Act, booking: Booking, *, day: date | None, half: str, people: Sequence[Person]
) -> None:
    if half and day is None:
        raise Refused(say("Choose the day, too."), field="day")
    if day and (why := _refused_day(act, booking, day, half)):
        raise Refused(why, field="day")
    for person in people:
        if not (person.is_active and person.can_install):
            raise Refused(
                say("{person} does not lay film here.", person=str(person)),
                field="people",
            )


def _refused_day(act: Act, booking: Booking, day: date, half: str) -> Say | None:
    shop = the_shop()
    return refused_day(
        day,
        half,
        now=timezone.localtime(act.now, shop.zone),
        arrives_at=booking.arrives_at,
        opening=opening_of(shop),
    )
