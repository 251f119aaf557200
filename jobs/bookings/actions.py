"""Bookings: a promise made, changed or taken back, with its film held."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from django.db.models import QuerySet
from django.utils import timezone

from jobs import limits
from jobs.coverage.catalogue import Body, Package, PanelChoice, coverage_problems
from jobs.customers.actions import find_or_add_customer, find_or_add_vehicle
from jobs.estimates.actions import lock_to_book, tie_booking
from jobs.film.need_queries import shortage
from jobs.models import (
    AddedWork,
    Booking,
    BookingPanel,
    Film,
    FilmReservation,
    Vehicle,
)
from jobs.money.actions import give_back
from jobs.money.queries import listed_for, paid_for, tax_pct_for
from jobs.opening.queries import opening_of
from jobs.plan.fixed_day import refused_day
from jobs.plan.forecast_actions import ask_to_carry_on
from jobs.plan.visit_queries import visit_refused
from jobs.plan.wish_actions import told_wish, write_wish
from jobs.rules.table import Level
from jobs.stages.queries import rule_levels
from shopapp.frame import Act, Json, Refused, action, refuse_outside
from shopapp.models import Bay, Person, the_shop
from shopapp.say import say

Facts = Mapping[str, Any]
AGREED = (
    *("package", "film", "arrives_at", "promised_at", "bay", "order_number"),
    *("price", "deposit"),
)


@dataclass(frozen=True, kw_only=True)
class Agreed:
    """What customer and desk agreed: everything of a booking but whose car it is.

    film_length_mm, film_width_mm  film to hold, from a quick plan made beforehand
    film_reason                    why it is booked although the film is short
    is_list_price                  nobody typed the price: the list's, tax and all
    people                         who is to lay the film; nobody: the plan chooses
    film_day, film_half            when the film work is to begin
    any_day                        come or promised whenever it was, open or not
    """

    package: Package
    panels: tuple[PanelChoice, ...]
    film: Film
    arrives_at: datetime
    promised_at: datetime
    film_length_mm: int
    film_width_mm: int
    bay: Bay | None = None
    order_number: str = ""
    price: Decimal | None = None
    is_list_price: bool = False
    deposit: Decimal = Decimal(0)
    added_work: tuple[Facts, ...] = ()
    paint_history: str = ""
    notes: str = ""
    film_reason: str = ""
    people: tuple[Person, ...] = ()
    film_day: date | None = None
    film_half: str = ""
    any_day: bool = False


@action("booking.make")
def make_booking(
    act: Act,
    *,
    customer_pk: int | None,
    customer: Facts,
    vehicle_pk: int | None,
    vehicle: Facts,
    agreed: Agreed,
    apart: bool = False,
    estimate_choice_pk: int | None = None,
) -> Json:
    """Book a car: its customer, its panels, its film, its promise.

    apart               another customer or car with a number that is known, and that
                        is meant
    estimate_choice_pk  the package of an estimate that is booked
    """
    estimate, said = None, ""
    if estimate_choice_pk is not None:
        estimate, said = lock_to_book(act, choice_pk=estimate_choice_pk)
    _check(agreed, body=vehicle["body"])
    _check_open(agreed, now=act.now, booking=None)
    _check_film_day(agreed, now=act.now, booking=None)
    owner = find_or_add_customer(customer_pk=customer_pk, typed=customer, apart=apart)
    car = find_or_add_vehicle(
        customer=owner, vehicle_pk=vehicle_pk, typed=vehicle, apart=apart
    )
    _hold_on_shortage(agreed, booking=None)
    booking = Booking(
        customer=owner, vehicle=car, booked_by=act.tap.by, booked_at=act.now
    )
    _write(booking, agreed)
    act.event(booking, "booked", **_told(booking))
    if estimate is not None:
        tie_booking(act, estimate, booking)
        act.event(booking, "booked_from_estimate", estimate=said)
    ask_to_carry_on(act)
    return {"pk": booking.pk}


@action("booking.change")
def change_booking(
    act: Act, *, booking_pk: int, vehicle: Facts, agreed: Agreed
) -> Json:
    """Agree on something else for a car that has not arrived."""
    booking = act.lock(Booking, booking_pk)
    _still_open(booking)
    _check(agreed, body=vehicle["body"])
    _check_open(agreed, now=act.now, booking=booking)
    _check_film_day(agreed, now=act.now, booking=booking)
    find_or_add_vehicle(
        customer=booking.customer, vehicle_pk=booking.vehicle_id, typed=vehicle
    )
    _hold_on_shortage(agreed, booking=booking)
    booking.vehicle = Vehicle.objects.get(pk=booking.vehicle_id)
    before = _told(booking)
    _write(booking, agreed)
    act.event(booking, "booking_changed", changed=_changes(before, _told(booking)))
    ask_to_carry_on(act)
    return {"pk": booking.pk}


@action("booking.cancel")
def cancel_booking(
    act: Act, *, booking_pk: int, because: str = "", deposit: str = ""
) -> None:
    """Take a booking back; its film is free again.

    deposit  what happens to a deposit that was paid: "given_back" or "kept"
    """
    booking = act.lock(Booking, booking_pk)
    _still_open(booking)
    paid = paid_for(booking)
    if paid > 0 and deposit not in DEPOSIT_GOES:
        raise Refused(
            say(
                "A deposit of {paid} was paid. Say what happens to it.",
                paid=f"{paid:,.2f}",
            ),
            field="deposit",
        )
    if paid > 0 and deposit == "given_back":
        give_back(act, booking, because="booking cancelled")
    booking.state = Booking.State.CANCELLED
    booking.save(update_fields=["state"])
    _held(booking).update(released_at=act.now)
    goes = DEPOSIT_GOES[deposit].format(paid=f"{paid:,.2f}") if paid > 0 else ""
    act.event(booking, "booking_cancelled", because=because.strip(), deposit=goes)
    ask_to_carry_on(act)


DEPOSIT_GOES = {
    "given_back": "Deposit {paid} given back",
    "kept": "Deposit {paid} kept",
}
"""What happens to a paid deposit when its booking is cancelled."""


@action("booking.restore")
def restore_booking(act: Act, *, booking_pk: int) -> None:
    """Take the cancelling back: booked again, its film held again."""
    booking = act.lock(Booking, booking_pk)
    if booking.state != Booking.State.CANCELLED:
        raise Refused(say("This booking is not cancelled."))
    booking.state = Booking.State.BOOKED
    booking.save(update_fields=["state"])
    FilmReservation.objects.filter(booking=booking).update(released_at=None)
    act.event(booking, "booking_restored")
    ask_to_carry_on(act)


def _held(booking: Booking) -> QuerySet[FilmReservation]:
    return FilmReservation.objects.filter(booking=booking, released_at=None)


def _told(booking: Booking) -> dict[str, Any]:
    """What a history says of a booking: facts and keys, no names."""
    panels = booking.panels.values_list("panel", flat=True)
    return {
        **{name: getattr(booking, name) for name in AGREED},
        **told_wish(booking),
        "panels": ", ".join(panels),
    }


def _changes(before: Facts, after: Facts) -> dict[str, list[Any]]:
    return {
        name: [before[name], after[name]]
        for name in after
        if before[name] != after[name]
    }


def _still_open(booking: Booking) -> None:
    if booking.state == Booking.State.ARRIVED:
        raise Refused(say("This car has arrived: change its work order instead."))
    if booking.state == Booking.State.CANCELLED:
        raise Refused(say("This booking was cancelled. Make a new one."))


def _check(agreed: Agreed, *, body: str) -> None:
    if problems := coverage_problems(agreed.panels, body=Body(body)):
        raise Refused(*problems, field="package")
    refuse_outside(limits.AGREED, vars(agreed))
    for work in agreed.added_work:
        refuse_outside(limits.WORK, work)
    if agreed.promised_at <= agreed.arrives_at:
        raise Refused(say("The promise lies before the arrival."), field="promised_at")
    arrives_on = agreed.arrives_at.astimezone(the_shop().zone).date()
    if agreed.film_day and agreed.film_day < arrives_on:
        raise Refused(
            say("Film work cannot begin before the car arrives."), field="film_day"
        )
    if agreed.price is not None and agreed.deposit > agreed.price:
        raise Refused(say("The deposit is higher than the price."), field="deposit")


def _check_open(agreed: Agreed, *, now: datetime, booking: Booking | None) -> None:
    """A car newly comes, and is newly promised, when somebody is there."""
    if agreed.any_day:
        return
    for name in ("arrives_at", "promised_at"):
        at = getattr(agreed, name)
        is_new = booking is None or at != getattr(booking, name)
        if is_new and (why := visit_refused(at, now=now)):
            raise Refused(why, field=name)


def _check_film_day(agreed: Agreed, *, now: datetime, booking: Booking | None) -> None:
    """A day newly fixed for the film is one on which the shop works."""
    wish = getattr(booking, "wish", None)
    known = (wish.day, wish.half) if wish else None
    if agreed.film_day is None or known == (agreed.film_day, agreed.film_half):
        return
    shop = the_shop()
    why = refused_day(
        agreed.film_day,
        agreed.film_half,
        now=timezone.localtime(now, shop.zone),
        arrives_at=agreed.arrives_at,
        opening=opening_of(shop),
    )
    if why:
        raise Refused(why, field="film_day")


def _hold_on_shortage(agreed: Agreed, *, booking: Booking | None) -> None:
    """Where the shop asks for a reason to book film it has not got, ask for it."""
    short = shortage(
        agreed.film,
        length_mm=agreed.film_length_mm,
        levels=rule_levels(the_shop()),
        beside=booking,
    )
    if short and short.level is Level.REASON and not agreed.film_reason.strip():
        raise Refused(short.sentence, field="film_reason")


def _write(booking: Booking, agreed: Agreed) -> None:
    for name in (*AGREED, "paint_history"):
        setattr(booking, name, getattr(agreed, name))
    lines = [agreed.notes, agreed.film_reason]
    booking.tax_pct = tax_pct_for(booking.customer)
    if agreed.is_list_price and agreed.price is not None:
        booking.price = _by_the_list(booking, agreed.price)
    booking.notes = "\n".join(line for line in lines if line)
    booking.save()
    _write_panels(booking, agreed.panels)
    write_wish(
        booking, day=agreed.film_day, half=agreed.film_half, people=agreed.people
    )
    booking.added_work.all().delete()
    AddedWork.objects.bulk_create(
        AddedWork(booking=booking, **work) for work in agreed.added_work
    )
    FilmReservation.objects.update_or_create(
        booking=booking,
        defaults={
            "film": agreed.film,
            "length_mm": agreed.film_length_mm,
            "width_mm": agreed.film_width_mm,
            "released_at": None,
        },
    )


def _by_the_list(booking: Booking, total: Decimal) -> Decimal:
    """The list's price for this customer, less the discounts that were given."""
    given = booking.discounts.filter(ended_at=None) if booking.pk else ()
    taken = sum((each.lowered for each in given), Decimal(0))
    return max(Decimal(0), listed_for(booking.customer, total=total) - taken)


def _write_panels(booking: Booking, choices: Iterable[PanelChoice]) -> None:
    booking.panels.all().delete()
    BookingPanel.objects.bulk_create(
        BookingPanel(
            booking=booking,
            panel=choice.panel,
            method=choice.method,
            edge=choice.edge,
            badge=choice.badge,
            seam=choice.seam,
            note=choice.seam_at,
        )
        for choice in choices
    )
