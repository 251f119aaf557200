"""Customers to be called about the promised time: told another, or it holds."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from jobs.additions.queries import waits_for_answer
from jobs.desk.day_queries import desk_day
from jobs.estimates.queries import estimates_waiting
from jobs.film.ahead_queries import shortages_said
from jobs.handover.queries import asked_rechecks
from jobs.mail.queries import to_see_to
from jobs.models import WorkOrder
from jobs.opening.queries import said_closed
from jobs.papers.plan_forms import PlanPaperForm
from jobs.promises.actions import tell_promise
from jobs.promises.call_queries import ToCall, to_call, to_call_before
from jobs.promises.forms import TellForm
from jobs.public.desk_queries import open_reports, said_no, wait_for_yes
from jobs.returns.queries import to_settle
from jobs.supplies.queries import low_supplies
from shopapp.access import allow
from shopapp.models import the_shop
from shopapp.pressing import Bound, form_for, press
from shopapp.telling import tell


@require_GET
@allow("handover.view")
def calls(request: HttpRequest, *, bound: Bound | None = None) -> HttpResponse:
    """The desk's day: who comes, who fetches, who waits, who is to be called."""
    shop, now = the_shop(), timezone.now()
    today = timezone.localtime(now, shop.zone).date()
    context = {
        "bound": bound,
        "desk_day": desk_day(today, now=now),
        "film_ahead": shortages_said(now=now, shop=shop),
        "low": low_supplies(),
        "morning_form": form_for(_morning(today), bound, "morning_issue"),
        "wait_for_yes": wait_for_yes(now=now),
        "additions_wait": waits_for_answer(),
        "estimates_wait": estimates_waiting(now=now),
        **calls_shown(bound, now=now),
    }
    return render(request, "jobs/promises/calls.html", context)


def calls_shown(bound: Bound | None, *, now: datetime) -> dict[str, Any]:
    """Each call with the form for the time that the customer is told."""
    return {
        "calls": [
            (call, form_for(_telling(call), bound, "promise_tell", pk=call.order.pk))
            for call in to_call(now=now)
        ],
        "calls_before": to_call_before(now=now),
        "reports": open_reports(),
        "said_no": said_no(),
        "asked": asked_rechecks(now=now),
        "returns_to_settle": to_settle(),
        "mails_to_see_to": to_see_to(),
    }


def _morning(day: date) -> Callable[[], PlanPaperForm]:
    return lambda: PlanPaperForm(initial={"day": day})


def _telling(call: ToCall) -> Callable[[], TellForm]:
    return lambda: TellForm(initial={"promised_at": call.can_promise})


@require_POST
@allow("promise.tell")
def promise_tell(request: HttpRequest, pk: int) -> HttpResponse:
    """Told the customer another time."""
    get_object_or_404(WorkOrder, pk=pk)
    form = TellForm(request.POST)
    response = press(request, tell_promise, page=calls, form=form, workorder_pk=pk)
    if response.status_code == 303:
        _say_closed(request, form.cleaned_data["promised_at"])
    return response


def _say_closed(request: HttpRequest, promised_at: datetime) -> None:
    if closed := said_closed("promise", promised_at):
        messages.warning(request, tell(closed, system=the_shop().system))
