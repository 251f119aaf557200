"""Bookings: the list by promise, the one-page booking."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, cast

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils import timezone
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext
from django.views.decorators.http import require_GET, require_POST

from jobs.bookings.figure_queries import figures_of
from jobs.bookings.first_forms import booking_initial, first_figures, new_initial
from jobs.bookings.fits_pages import typed_fits
from jobs.bookings.forms import BookingForm
from jobs.bookings.history_queries import history_of_booking
from jobs.bookings.like_forms import like_initial
from jobs.bookings.move_forms import MoveDayForm
from jobs.bookings.queries import (
    agreed_panels,
    comes_today,
    coming_of,
    films_short,
    overdue,
    promised_days,
    with_heads,
)
from jobs.bookings.typed_forms import as_typed
from jobs.coverage.car_drawing import car_svg
from jobs.customers.known_queries import known_of
from jobs.estimates.first_forms import booking_start
from jobs.film.ahead_queries import shortages_said
from jobs.models import Booking, Customer, EstimateChoice, Vehicle
from jobs.money.forms import CancelForm, PaymentForm, ReverseForm
from jobs.money.pages import price_shown
from jobs.money.queries import money_of
from jobs.plan.fit_queries import clashes_of
from jobs.plan.step_queries import planned_steps
from jobs.promises.call_queries import to_call, to_call_before
from jobs.promises.queries import as_of, booking_outlook, clock, outlook_of
from jobs.public.section_pages import customer_section
from jobs.returns.queries import of_booking
from jobs.workorders.here_queries import orders_here
from shopapp.access import allow
from shopapp.models import the_shop
from shopapp.pressing import Bound, form_for

SOON, LATER = 14, 90


@require_GET
@allow("booking.view")
def bookings(request: HttpRequest) -> HttpResponse:
    """What is promised, today first."""
    shop, now = the_shop(), timezone.now()
    later = "later" in request.GET
    at = clock(now=now, shop=shop)
    days = promised_days(now=now, days=LATER if later else SOON, shop=shop)
    promised = [booking for day in days for booking in day.bookings]
    outlooks = {row.pk: booking_outlook(row, clock=at) for row in promised}
    context = {
        "outlooks": outlooks,
        "as_of": as_of(outlooks.values()),
        "calls": [*to_call(now=now), *to_call_before(now=now)],
        "days": days,
        "comes_today": comes_today(now=now, shop=shop),
        "overdue": [(car, outlook_of(car, clock=at)) for car in overdue(now=now)],
        "short": films_short(shop),
        "film_ahead": shortages_said(now=now, shop=shop),
        "later": later,
        "today": timezone.localtime(now, shop.zone).date(),
    }
    return render(request, "jobs/bookings/bookings.html", context)


@require_GET
@allow("booking.make")
def booking_new(request: HttpRequest, *, bound: Bound | None = None) -> HttpResponse:
    """A new booking, for a customer and car that are known or not."""
    form = cast(BookingForm, bound.form) if bound else _first(request)
    return _new(request, form, bound)


def _first(request: HttpRequest) -> BookingForm:
    if like := Booking.objects.filter(pk=_number(request, "like")).first():
        form = BookingForm(initial=like_initial(like, now=timezone.now()))
        form.figures = figures_of(like, for_another=True)
        return form
    if choice := EstimateChoice.objects.filter(pk=_number(request, "estimate")).first():
        form = BookingForm(initial=booking_start(choice))
        form.figures = first_figures(form)
        return form
    vehicle = Vehicle.objects.filter(pk=_number(request, "vehicle")).first()
    customer = Customer.objects.filter(pk=_number(request, "customer")).first()
    owner = vehicle.customer if vehicle else customer
    form = BookingForm(initial=new_initial(customer=owner, vehicle=vehicle))
    form.figures = first_figures(form)
    return form


def _number(request: HttpRequest, name: str) -> int:
    text = request.GET.get(name, "")
    return int(text) if text.isdecimal() and len(text) < 18 else 0


def _new(
    request: HttpRequest, form: BookingForm, bound: Bound | None = None, **more: Any
) -> HttpResponse:
    pk = str(form["customer_pk"].value() or "")
    context = {
        "form": form,
        "bound": bound,
        "known": known_of(_said(form)) if request.method == "POST" else None,
        **_expected([str(form["vehicle_pk"].value() or "")]),
        "customer": Customer.objects.filter(pk=pk).first() if pk.isdecimal() else None,
        **_figures(form),
        **more,
    }
    return render(request, "jobs/bookings/booking_new.html", context)


def _expected(cars: Iterable[str]) -> dict[str, Any]:
    """Which of these cars are in already, or booked."""
    pks = [int(car) for car in cars if car.isdecimal() and len(car) < 18]
    return {"here": orders_here(pks), "coming": coming_of(pks)}


def _said(form: BookingForm) -> dict[str, str]:
    """Who and which car, as the form stands."""
    names = ("customer_pk", "vehicle_pk", "name", "phone", "plate", "vin")
    return {name: str(form[name].value() or "") for name in names}


@require_POST
@allow("booking.make")
def booking_known(request: HttpRequest) -> HttpResponse:
    """Who and which car is known of what is typed. In the body: it is personal data."""
    typed = {name: str(value)[:120] for name, value in request.POST.items()}
    known = known_of(typed)
    cars = [typed.get("vehicle_pk", ""), *(str(car.pk) for car in known.cars)]
    context = {
        "form": BookingForm(initial={"apart": "apart" in typed}, works_out=False),
        "known": known,
        **_expected(cars),
        "look_url": reverse("jobs:booking_look"),
    }
    return render(request, "jobs/bookings/_known.html", context)


def _figures(form: BookingForm) -> dict[str, Any]:
    """What stands beside the form, and where it is asked for."""
    row = [form.booking.pk] if form.booking else []
    return {
        "figures": form.figures,
        "instead": form.instead(),
        "drawing": _drawn(form),
        "look_url": reverse("jobs:booking_look", args=row),
        "fits_url": reverse("jobs:booking_fits", args=row),
    }


def _drawn(form: BookingForm) -> SafeString:
    """The drawn car mirrors the list; nothing is chosen on it."""
    svg = car_svg(
        body=form.body_shown(), panels=form.drawn(), title=gettext("Panels chosen")
    )
    return mark_safe(svg)  # noqa: S308 - our own drawing, escaped where it is made


@require_POST
@allow("booking.make")
def booking_look(request: HttpRequest, pk: int | None = None) -> HttpResponse:
    """Price, film, panels and days of what is typed; nothing is kept."""
    booking = get_object_or_404(Booking, pk=pk) if pk else None
    form = as_typed(request.POST, booking=booking)
    part = PARTS.get(str(request.htmx.target))  # type: ignore[attr-defined]
    if part:
        return render(request, part, {"form": form, **_figures(form)})
    days: dict[str, Any] = {"fits": typed_fits(request, booking), "asked": True}
    if booking:
        return _edit(request, booking, form, **days)
    return _new(request, form, **days)


PARTS = {
    "booking-figures": "jobs/bookings/_booking_figures.html",
    "booking-panels": "jobs/bookings/_booking_panels.html",
    "booking-when": "jobs/bookings/_booking_when.html",
}
"""Parts of the page that are asked for alone, by their element."""


@require_GET
@allow("booking.view")
def booking_detail(
    request: HttpRequest, pk: int, *, bound: Bound | None = None
) -> HttpResponse:
    """One booking as agreed."""
    rows = with_heads().prefetch_related("panels", "added_work")
    booking = get_object_or_404(rows, pk=pk)
    form = BookingForm(initial=booking_initial(booking), booking=booking)
    context = {
        "booking": booking,
        "now": timezone.now(),
        "bound": bound,
        "figures": figures_of(booking),
        "outlook": booking_outlook(booking, clock=clock(now=timezone.now())),
        "clashes": clashes_of(booking, now=timezone.now()),
        "plan": planned_steps(booking),
        "drawing": _drawn(form),
        "panels": agreed_panels(booking),
        "history": history_of_booking(booking),
        "back": of_booking(booking),
        **customer_section(booking, bound),
        "move_form": form_for(
            lambda: MoveDayForm(initial=MoveDayForm.initial_of(booking)),
            bound,
            "booking_move",
        ),
        **_money(booking, bound),
    }
    return render(request, "jobs/bookings/booking_detail.html", context)


def _money(booking: Booking, bound: Bound | None) -> dict[str, Any]:
    """What was paid for a booking, and the forms about it."""
    money = money_of(booking)
    rows = booking.payments.select_related("by", "reversed_by", "reverses", "receipt")

    def pay() -> PaymentForm:
        return PaymentForm(initial={"amount": money.deposit_open or None})

    cancel_form = form_for(CancelForm, bound, "booking_cancel")
    # Where it was paid, it must be said where it goes.
    cancel_form.fields["deposit"].required = money.paid > 0
    return {
        "money": money,
        "pay_form": form_for(pay, bound, "deposit_record"),
        **price_shown(booking, bound, url_name="booking_discount_give"),
        "cancel_form": cancel_form,
        "payments": [
            (row, form_for(ReverseForm, bound, "deposit_reverse", payment_pk=row.pk))
            for row in rows
        ],
    }


@require_GET
@allow("booking.change")
def booking_edit(
    request: HttpRequest, pk: int, *, bound: Bound | None = None
) -> HttpResponse:
    """The booking's page again, to agree on something else."""
    rows = with_heads().prefetch_related("panels", "added_work")
    booking = get_object_or_404(rows, pk=pk)
    if bound:
        return _edit(request, booking, cast(BookingForm, bound.form), bound)
    form = BookingForm(initial=booking_initial(booking), booking=booking)
    form.figures = figures_of(booking)
    return _edit(request, booking, form)


def _edit(
    request: HttpRequest,
    booking: Booking,
    form: BookingForm,
    bound: Any = None,
    **more: Any,
) -> HttpResponse:
    context = {"form": form, "booking": booking, "bound": bound, **_figures(form)}
    context |= more
    return render(request, "jobs/bookings/booking_edit.html", context)


def booking_form(request: HttpRequest, pk: int | None = None) -> BookingForm:
    """What is agreed, or agreed instead."""
    booking = get_object_or_404(with_heads(), pk=pk) if pk else None
    return BookingForm(request.POST, booking=booking)
