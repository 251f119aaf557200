"""A car arrives: the booking becomes a work order."""

from __future__ import annotations

from django.db import IntegrityError, transaction
from django.utils import timezone

from jobs.actions.workorders import attach_checklist, free_bay
from jobs.models import AddedWork, Booking, OrderPanel, Payment, WorkOrder
from jobs.stages import Stage
from shopapp.frame import Act, Json, Refused, action
from shopapp.models import Bay, Place, the_shop
from shopapp.say import say

MOST_RIVALS = 20


@action("arrival.take_in")
def take_in_car(
    act: Act,
    *,
    booking_pk: int,
    key_tag: str = "",
    mileage: int | None = None,
    bay: Bay | None = None,
    place: Place | None = None,
) -> Json:
    """Take a booked car in: keys, mileage, where it stands; its work order begins."""
    booking = act.lock(Booking, booking_pk)
    if booking.state == Booking.State.ARRIVED:
        raise Refused(say("This car has been taken in already."))
    if booking.state == Booking.State.CANCELLED:
        raise Refused(say("This booking was cancelled. Make a new one."))
    if bay and place:
        raise Refused(say("Choose a bay or a place."), field="where")
    workorder = _open(
        act, booking, key_tag=key_tag, mileage=mileage, bay=bay, place=place
    )
    if bay:
        free_bay(act, bay_pk=bay.pk, for_order=workorder)
    _copy_agreed(act, booking, workorder)
    attach_checklist(workorder)
    booking.state = Booking.State.ARRIVED
    booking.save(update_fields=["state"])
    act.event(workorder, "arrived", booking=booking, bay=bay, place=place)
    return {"pk": workorder.pk}


def _open(
    act: Act,
    booking: Booking,
    *,
    key_tag: str,
    mileage: int | None,
    bay: Bay | None,
    place: Place | None,
) -> WorkOrder:
    """A new order with the next number of its year.

    Two cars may be taken in at once: the database lets one of them have the
    number, and the other takes the one after it.
    """
    year = timezone.localtime(act.now, the_shop().zone).year
    for _ in range(MOST_RIVALS):
        try:
            with transaction.atomic():
                return WorkOrder.objects.create(
                    number=next_number(year=year),
                    booking=booking,
                    customer=booking.customer,
                    vehicle=booking.vehicle,
                    film=booking.film,
                    stage=Stage.INTAKE.value,
                    bay=bay,
                    place=place,
                    key_tag=key_tag,
                    mileage=mileage,
                    arrived_at=act.now,
                    stage_since=act.now,
                    promised_at=booking.promised_at,
                    price=booking.price,
                    on_account=booking.customer.is_account,
                )
        except IntegrityError:
            if WorkOrder.objects.filter(booking=booking).exists():
                raise
    raise Refused(say("Many cars arrive at this moment. Press once more."))


def next_number(*, year: int) -> str:
    """The number after the year's last: `W-26-0007`."""
    head = f"W-{year % 100:02d}-"
    # By key and not by text: "W-26-10000" sorts before "W-26-9999".
    newest = WorkOrder.objects.filter(number__startswith=head).order_by("-pk")
    numbers = newest.values_list("number", flat=True)[:MOST_RIVALS]
    last = max((int(number.removeprefix(head)) for number in numbers), default=0)
    return f"{head}{last + 1:04d}"


def _copy_agreed(act: Act, booking: Booking, workorder: WorkOrder) -> None:
    """What was agreed goes with the car; the booking keeps its own rows."""
    OrderPanel.objects.bulk_create(
        OrderPanel(
            workorder=workorder,
            panel=panel.panel,
            method=panel.method,
            edge=panel.edge,
            badge=panel.badge,
            seam=panel.seam,
            note=panel.note,
        )
        for panel in booking.panels.all()
    )
    AddedWork.objects.bulk_create(
        AddedWork(
            workorder=workorder,
            name=work.name,
            minutes=work.minutes,
            when=work.when,
            skill=work.skill,
            price=work.price,
        )
        for work in booking.added_work.all()
    )
    if booking.deposit:
        Payment.objects.create(
            workorder=workorder,
            amount=booking.deposit,
            how=Payment.How.DEPOSIT,
            by=act.tap.by,
            at=act.now,
        )
