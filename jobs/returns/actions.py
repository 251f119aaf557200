"""A car comes back: its visit begins, what is done is kept, and who pays."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from django.utils import timezone

from jobs import limits
from jobs.bookings.arrival_actions import open_order
from jobs.coverage.catalogue import Package
from jobs.findings.trace import defect_kinds
from jobs.models import (
    Booking,
    BookingPanel,
    Defect,
    FilmReservation,
    OrderPanel,
    ReturnVisit,
    Vehicle,
    WorkOrder,
)
from jobs.money.queries import tax_pct_for
from jobs.opening.queries import opening_of
from jobs.plan.forecast_actions import ask_to_carry_on
from jobs.public.report_actions import see_to
from jobs.returns.queries import (
    film_on,
    first_order,
    named_all,
    open_visit,
    reports_about,
    why_not_again,
)
from jobs.returns.rules import usual_promise
from jobs.workorders.here_queries import already_in, order_here
from shopapp.frame import Act, Json, Refused, action
from shopapp.models import StoredFile, the_shop
from shopapp.say import say

Payer = ReturnVisit.Payer


@dataclass(frozen=True, kw_only=True)
class Seen:
    """What is wrong with the film: on which panels, of what kind."""

    panels: tuple[str, ...]
    kind: str
    note: str = ""
    photo: StoredFile | None = None


@action("return.begin", within=limits.RETURN)
def begin_return(
    act: Act,
    *,
    workorder_pk: int,
    panels: list[str],
    kind: str,
    note: str = "",
    photo: StoredFile | None = None,
    paid_by: str = "",
    asked: Decimal | None = None,
    is_here: bool = True,
    arrives_at: datetime | None = None,
    promised_at: datetime | None = None,
) -> Json:
    """Begin a return visit of a closed order: the car is here, or comes on a day.

    panels   codes of the panels whose film is wrong
    paid_by  a `Payer`, or "" while that is not known
    asked    what the customer pays, where the customer does
    What the customer wrote about this film is answered by it.
    """
    order = _locked(act, workorder_pk)
    if waits := open_visit(order):
        raise Refused(why_not_again(waits))
    if is_here and (there := order_here(order.vehicle_id)):
        raise Refused(already_in(there))
    arrives, promised = _times(
        act, is_here=is_here, arrives_at=arrives_at, promised_at=promised_at
    )
    seen = Seen(panels=tuple(panels), kind=kind, note=note.strip(), photo=photo)
    film = _film(order, seen)
    booking = _book(act, film, arrives=arrives, promised=promised)
    visit = ReturnVisit.objects.create(
        of=order,
        booking=booking,
        paid_by=_payer(paid_by),
        asked=_asked(paid_by, asked),
        begun_by=act.by,
        begun_at=act.now,
    )
    booking.price = visit.asked
    booking.save(update_fields=["price"])
    faults = named_all(_write_down(act, visit, film, seen))
    _answer_reports(act, visit)
    act.event(booking, "booked", return_of=order.number, faults=faults)
    if not is_here:
        act.event(order, "return_booked", visit=visit, now_for=arrives, faults=faults)
        ask_to_carry_on(act)
        return {"pk": None, "booking_pk": booking.pk}
    opened = open_order(act, booking)
    ask_to_carry_on(act)
    return {"pk": opened.pk, "booking_pk": booking.pk}


def _locked(act: Act, workorder_pk: int) -> WorkOrder:
    """The first order, after its car: two desks that begin at once meet here."""
    rows = WorkOrder.objects.select_related("return_of").filter(pk=workorder_pk)
    pressed = rows.first()
    if pressed is None:
        raise Refused(say("This order is not there any more."))
    act.lock(Vehicle, pressed.vehicle_id)
    order = act.lock(WorkOrder, first_order(pressed).pk)
    if not pressed.is_closed or not order.is_closed:
        raise Refused(
            say("This car is still here: write it down as a defect of its panel.")
        )
    return order


def _times(
    act: Act,
    *,
    is_here: bool,
    arrives_at: datetime | None,
    promised_at: datetime | None,
) -> tuple[datetime, datetime]:
    if not is_here and arrives_at is None:
        raise Refused(say("Say when the car comes."), field="arrives_at")
    if not is_here and arrives_at and arrives_at <= act.now:
        raise Refused(
            say("This time has passed. Choose a later one."), field="arrives_at"
        )
    arrives = act.now if is_here or arrives_at is None else arrives_at
    shop = the_shop()
    local = timezone.localtime(arrives, shop.zone)
    promised = promised_at or usual_promise(local, opening=opening_of(shop))
    if promised <= arrives:
        raise Refused(say("The promise lies before the arrival."), field="promised_at")
    return arrives, promised


def _film(
    order: WorkOrder, seen: Seen, *, but: WorkOrder | None = None
) -> list[OrderPanel]:
    """The film that is meant, or a refusal."""
    if seen.kind not in defect_kinds():
        raise Refused(say("Choose what is seen."), field="kind")
    known = film_on(order, but=but)
    if not seen.panels or any(code not in known for code in seen.panels):
        raise Refused(say("Choose the panels that it is seen on."), field="panels")
    return [known[code] for code in known if code in seen.panels]


def _payer(paid_by: str) -> str:
    if paid_by and paid_by not in Payer.values:
        raise Refused(say("Say who pays."), field="paid_by")
    return paid_by


def _asked(paid_by: str, asked: Decimal | None) -> Decimal | None:
    """What the customer pays: nothing where another pays, open while nobody knows."""
    if paid_by == Payer.CUSTOMER:
        return asked
    return Decimal(0) if paid_by else None


def _book(
    act: Act, film: list[OrderPanel], *, arrives: datetime, promised: datetime
) -> Booking:
    """A booking of these panels, as they were finished before; no film is held yet."""
    order = film[0].workorder
    booking = Booking.objects.create(
        customer=order.customer,
        vehicle=order.vehicle,
        package=Package.SINGLE_PANELS.value,
        film=order.film,
        arrives_at=arrives,
        promised_at=promised,
        tax_pct=tax_pct_for(order.customer),
        booked_by=act.by,
        booked_at=act.now,
    )
    BookingPanel.objects.bulk_create(
        BookingPanel(booking=booking, **coverage_of(row)) for row in film
    )
    FilmReservation.objects.create(
        booking=booking,
        film=order.film,
        length_mm=0,
        width_mm=0,
        released_at=act.now,
    )
    return booking


def coverage_of(row: OrderPanel) -> dict[str, str]:
    """How a panel was finished, for the row of another order."""
    names = ("panel", "method", "edge", "badge", "seam", "note")
    return {name: getattr(row, name) for name in names}


def _write_down(
    act: Act, visit: ReturnVisit, film: Iterable[OrderPanel], seen: Seen
) -> list[Defect]:
    """A defect in the film of each panel, on the order that laid it."""
    found = [
        Defect.objects.create(
            workorder=row.workorder,
            order_panel=row,
            kind=seen.kind,
            note=seen.note,
            photo=seen.photo,
            # A customer came back for it: no standard lets that pass.
            outside_standard=True,
            round=row.laid_round,
            found_by=act.by,
            found_at=act.now,
        )
        for row in film
    ]
    visit.defects.add(*found)
    return found


def _answer_reports(act: Act, visit: ReturnVisit) -> None:
    """What the customer wrote about this film comes along."""
    for report in reports_about(visit.of):
        report.visit = visit
        see_to(act, report)


@action("return.fault")
def add_fault(
    act: Act,
    *,
    workorder_pk: int,
    panels: list[str],
    kind: str,
    note: str = "",
    photo: StoredFile | None = None,
) -> None:
    """Write down one more thing that is wrong, on the return visit that is open."""
    order = act.lock(WorkOrder, workorder_pk)
    visit = visit_here(order)
    if order.is_closed:
        raise Refused(say("This return visit is over. Begin another one."))
    seen = Seen(panels=tuple(panels), kind=kind, note=note.strip(), photo=photo)
    film = _film(visit.of, seen, but=order)
    faults = named_all(_write_down(act, visit, film, seen))
    for row in film:
        OrderPanel.objects.update_or_create(
            workorder=order,
            panel=row.panel,
            defaults={"struck_off_at": None, "struck_off_because": ""},
            create_defaults={**coverage_of(row), "workorder": order},
        )
    for each in (order, visit.of):
        act.event(each, "return_fault", visit=visit, faults=faults)
    ask_to_carry_on(act)


def visit_here(order: WorkOrder) -> ReturnVisit:
    """The return visit that an order is for, or a refusal."""
    visit = ReturnVisit.objects.filter(booking=order.booking_id).first()
    if order.booking_id is None or visit is None:
        raise Refused(say("This order is no return visit."))
    return visit
