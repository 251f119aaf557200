"""Buttons of a booking about its deposit, its end, and its coming back."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.views.decorators.http import require_POST

from jobs.actions.bookings import cancel_booking, restore_booking
from jobs.actions.money import record_deposit, reverse_deposit
from jobs.forms.money import CancelForm, PaymentForm, ReverseForm
from jobs.models import Booking, Payment
from jobs.views.bookings import detail_page
from shopapp.access import allow
from shopapp.pressing import press


def _press(
    request: HttpRequest, pk: int, do: Any, *, form: Any = None, **facts: Any
) -> HttpResponse:
    get_object_or_404(Booking, pk=pk)
    return press(
        request,
        do,
        form=form,
        page=lambda bound: detail_page(request, pk, bound),
        then=reverse("jobs:booking_detail", args=[pk]),
        booking_pk=pk,
        **facts,
    )


@require_POST
@allow("deposit.record")
def deposit_record(request: HttpRequest, pk: int) -> HttpResponse:
    """Keep a deposit that came in."""
    return _press(request, pk, record_deposit, form=PaymentForm(request.POST))


@require_POST
@allow("deposit.reverse")
def deposit_reverse(request: HttpRequest, pk: int, payment_pk: int) -> HttpResponse:
    """Take a deposit back by an entry of its own."""
    get_object_or_404(Payment, pk=payment_pk, booking=pk)
    form = ReverseForm(request.POST)
    return _press(request, pk, reverse_deposit, form=form, payment_pk=payment_pk)


@require_POST
@allow("booking.cancel")
def booking_cancel(request: HttpRequest, pk: int) -> HttpResponse:
    """Cancel the booking."""
    return _press(request, pk, cancel_booking, form=CancelForm(request.POST))


@require_POST
@allow("booking.restore")
def booking_restore(request: HttpRequest, pk: int) -> HttpResponse:
    """Take the cancelling back."""
    return _press(request, pk, restore_booking)
