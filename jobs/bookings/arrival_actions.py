"""A car arrives: the booking becomes a work order."""

from __future__ import annotations

from jobs import limits
from jobs.air.actions import keep_air
from jobs.customers.known_queries import rows_of_car
from jobs.models import (
    AddedWork,
    Booking,
    CarWish,
    OrderPanel,
    ReturnVisit,
    Vehicle,
    WorkOrder,
)
from jobs.plan.forecast_actions import ask_to_carry_on
from jobs.returns.queries import named_all
from jobs.stages.table import FIRST
from jobs.workorders.actions import attach_checklist, free_bay
from jobs.workorders.here_queries import refused_here
from shopapp.frame import Act, Json, Refused, action
from shopapp.models import Bay, Place
from shopapp.numbering import numbered
from shopapp.say import say


@action("arrival.take_in", within=limits.TAKEN_IN)
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
    booking = _locked(act, booking_pk)
    if booking.state == Booking.State.ARRIVED:
        raise Refused(say("This car has been taken in already."))
    if booking.state == Booking.State.CANCELLED:
        raise Refused(say("This booking was cancelled. Make a new one."))
    if there := refused_here(booking.vehicle):
        raise Refused(*there)
    if bay and place:
        raise Refused(say("Choose a bay or a place."), field="where")
    workorder = open_order(
        act, booking, key_tag=key_tag, mileage=mileage, bay=bay, place=place
    )
    ask_to_carry_on(act)
    return {"pk": workorder.pk}


def open_order(
    act: Act,
    booking: Booking,
    *,
    key_tag: str = "",
    mileage: int | None = None,
    bay: Bay | None = None,
    place: Place | None = None,
) -> WorkOrder:
    """The car of this booking is here: its order begins, with all that was agreed."""
    workorder = _open(
        act, booking, key_tag=key_tag, mileage=mileage, bay=bay, place=place
    )
    if bay:
        free_bay(act, bay_pk=bay.pk, for_order=workorder)
    _copy_agreed(booking, workorder)
    attach_checklist(workorder)
    _crew_as_fixed(act, booking, workorder)
    booking.state = Booking.State.ARRIVED
    booking.save(update_fields=["state"])
    act.event(booking, "arrived", workorder=workorder)
    act.event(workorder, "arrived", booking=booking, bay=bay, place=place)
    if visit := _return_visit(booking):
        told = {"old": visit.of.number, "order": workorder.number}
        told["faults"] = named_all(visit.defects.all())
        for each in (visit.of, workorder):
            act.event(each, "came_back", visit=visit, **told)
    keep_air(workorder, at=act.now)
    return workorder


def _return_visit(booking: Booking) -> ReturnVisit | None:
    found: ReturnVisit | None = getattr(booking, "return_visit", None)
    return found


def _locked(act: Act, booking_pk: int) -> Booking:
    """The booking, after its car: two desks with two bookings of one car meet here.

    A car that stands twice in the list of cars is met by either row.
    """
    for car in Vehicle.objects.filter(bookings=booking_pk):
        act.lock_all(Vehicle, [row.pk for row in rows_of_car(car)])
    return act.lock(Booking, booking_pk)


def _open(
    act: Act,
    booking: Booking,
    *,
    key_tag: str,
    mileage: int | None,
    bay: Bay | None,
    place: Place | None,
) -> WorkOrder:
    """A new order with the next number of its year."""
    visit = _return_visit(booking)
    return numbered(
        lambda number: WorkOrder.objects.create(
            number=number,
            booking=booking,
            return_of=visit.of if visit else None,
            customer=booking.customer,
            vehicle=booking.vehicle,
            film=booking.film,
            stage=FIRST.value,
            bay=bay,
            place=place,
            key_tag=key_tag,
            mileage=mileage,
            arrived_at=act.now,
            stage_since=act.now,
            promised_at=booking.promised_at,
            price=booking.price,
            tax_pct=booking.tax_pct,
            on_account=booking.customer.is_account,
        ),
        model=WorkOrder,
        letter="W",
        at=act.now,
    )


def _crew_as_fixed(act: Act, booking: Booking, workorder: WorkOrder) -> None:
    """Who was to lay its film is its crew from now on."""
    wish = CarWish.objects.filter(booking=booking).first()
    people = list(wish.people.all()) if wish else []
    if people:
        workorder.crew.set(people)
        act.event(workorder, "crew", people=people)


def _copy_agreed(booking: Booking, workorder: WorkOrder) -> None:
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
    # What was paid before goes along; it stays what it was, and how and when it came.
    booking.payments.update(workorder=workorder)
    booking.discounts.update(workorder=workorder)
