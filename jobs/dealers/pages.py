"""A customer's list of cars: pasted, looked over, booked."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils.translation import ngettext
from django.views.decorators.http import require_GET, require_POST

from jobs.dealers.forms import CarListForm
from jobs.invoices.queries import open_sum_of
from jobs.models import Customer
from shopapp.access import allow
from shopapp.frame import Answer
from shopapp.pressing import Bound
from shopapp.say import Say, say


@require_GET
@allow("booking.make_many")
def car_list(
    request: HttpRequest, pk: int, *, bound: Bound | None = None
) -> HttpResponse:
    """Where the list is pasted."""
    customer = get_object_or_404(Customer, pk=pk)
    if bound is None:
        return _page(request, CarListForm(customer=customer))
    form = CarListForm(request.POST, customer=customer, is_look=True)
    form.is_valid()
    for name, errors in (bound.form.errors if bound.form else {}).items():
        form.add_error(name if name in form.fields else None, list(errors))
    return _page(request, form, bound=bound)


@require_POST
@allow("booking.make_many")
def car_list_look(request: HttpRequest, pk: int) -> HttpResponse:
    """The list row by row, with days and prices; nothing is written."""
    customer = get_object_or_404(Customer, pk=pk)
    form = CarListForm(request.POST, request.FILES, customer=customer, is_look=True)
    form.is_valid()
    return _page(request, form)


def _page(
    request: HttpRequest, form: CarListForm, bound: Bound | None = None
) -> HttpResponse:
    right = [each for each in form.seen if each.fit]
    context = {
        "form": form,
        "customer": form.customer,
        "bound": bound,
        "seen": form.seen,
        "right": right,
        "short": form.short(),
        "total": sum((each.price or Decimal(0) for each in right), Decimal(0)),
        "is_open": open_sum_of(form.customer),
    }
    status = 422 if form.errors else 200
    return render(request, "jobs/dealers/car_list.html", context, status=status)


def list_form(request: HttpRequest, pk: int) -> CarListForm:
    """What is to be booked."""
    customer = get_object_or_404(Customer, pk=pk)
    return CarListForm(request.POST, request.FILES, customer=customer)


def booked_said(answer: Answer) -> Say:
    """How many are booked, and the rows that are not, to be put right."""
    left: Any = answer["left_out"]
    count: Any = answer["booked"]
    booked = ngettext("%(n)d car is booked.", "%(n)d cars are booked.", count)
    if not left:
        return say("{booked}", booked=booked % {"n": count})
    return say(
        "{booked} Left out: {rows}", booked=booked % {"n": count}, rows=" | ".join(left)
    )
