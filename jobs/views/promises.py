"""Customers to be called about the promised time: told another, or it holds."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from jobs.actions.promises import keep_promise, tell_promise
from jobs.forms.promises import TellForm
from jobs.models import WorkOrder
from jobs.queries.calls import ToCall, to_call
from jobs.queries.opening import said_closed
from shopapp.access import allow
from shopapp.models import the_shop
from shopapp.pressing import Bound, form_for, press
from shopapp.telling import tell


@require_GET
@allow("handover.view")
def calls(request: HttpRequest) -> HttpResponse:
    """Who is to be called."""
    return _page(request, None)


def _page(request: HttpRequest, bound: Bound | None) -> HttpResponse:
    context = {"bound": bound, "calls": call_rows(bound, now=timezone.now())}
    return render(request, "jobs/calls.html", context)


def call_rows(bound: Bound | None, *, now: datetime) -> list[tuple[ToCall, TellForm]]:
    """Each call with the form for the time that the customer is told."""
    return [
        (call, form_for(TellForm, bound, "promise_tell", pk=call.order.pk))
        for call in to_call(now=now)
    ]


def _press(request: HttpRequest, pk: int, do: Any, *, form: Any = None) -> HttpResponse:
    get_object_or_404(WorkOrder, pk=pk)
    return press(
        request,
        do,
        form=form,
        page=lambda bound: _page(request, bound),
        then=reverse("jobs:calls"),
        workorder_pk=pk,
    )


@require_POST
@allow("promise.tell")
def promise_tell(request: HttpRequest, pk: int) -> HttpResponse:
    """Told the customer another time."""
    form = TellForm(request.POST)
    response = _press(request, pk, tell_promise, form=form)
    if response.status_code == 303:
        _say_closed(request, form.cleaned_data["promised_at"])
    return response


def _say_closed(request: HttpRequest, promised_at: datetime) -> None:
    if closed := said_closed("promise", promised_at):
        messages.warning(request, tell(closed, system=the_shop().system))


@require_POST
@allow("promise.keep")
def promise_keep(request: HttpRequest, pk: int) -> HttpResponse:
    """We make it."""
    return _press(request, pk, keep_promise)
