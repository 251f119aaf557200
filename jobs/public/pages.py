"""The customer's page, opened by a secret link: read, agree, keep a date, ask."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET, require_POST

from jobs.condition.agreement_actions import agree_walk_round, approve_marks
from jobs.feeds.ical import calendar_bytes
from jobs.models import Mark, WorkOrder
from jobs.public.actions import ask_for_recheck
from jobs.public.forms import MarksForm, RecheckAskForm
from jobs.public.link_queries import link_of
from jobs.public.queries import appointment_of, customer_view, papers_of
from shopapp import media
from shopapp.access import View, open_to_all
from shopapp.models import HistoryEntry
from shopapp.pressing import Bound, form_for, press
from shopapp.say import say

LINK = HistoryEntry.Via.LINK
AGREED = WorkOrder.Agreed.LINK.value
MADE_BY = "-//film shop//work orders//EN"


def by_link(view: Callable[..., HttpResponse]) -> View:
    """Hand the order of a good token to a view; a bad one reads a plain page."""

    @wraps(view)
    @never_cache
    def opened(request: HttpRequest, token: str, **kwargs: Any) -> HttpResponse:
        link = link_of(token, now=timezone.now())
        if link is None:
            return render(request, "public/gone.html", status=404)
        response = view(request, token, link.workorder, **kwargs)
        # The address is the key: no other site learns it. Not "no-referrer", which
        # makes a browser's POST nameless and so refused.
        response.headers["Referrer-Policy"] = "same-origin"
        return response

    return open_to_all(opened)


@require_GET
@by_link
def customer_page(request: HttpRequest, token: str, order: WorkOrder) -> HttpResponse:
    """Where the car is and when it is ready."""
    return _page(request, token, order, None)


def _page(
    request: HttpRequest, token: str, order: WorkOrder, bound: Bound | None
) -> HttpResponse:
    context = {
        "token": token,
        "order": order,
        "bound": bound,
        "seen": customer_view(order, now=timezone.now()),
        "recheck_form": form_for(RecheckAskForm, bound, "customer_recheck"),
    }
    return render(request, "public/order.html", context)


def _press(
    request: HttpRequest, token: str, order: WorkOrder, do: Any, **more: Any
) -> HttpResponse:
    return press(
        request,
        do,
        page=lambda bound: _page(request, token, order, bound),
        then=reverse("jobs:customer_page", args=[token]),
        via=LINK,
        workorder_pk=order.pk,
        **more,
    )


@require_POST
@by_link
def customer_agree(request: HttpRequest, token: str, order: WorkOrder) -> HttpResponse:
    """Agree to coverage, price, condition and terms, as they were shown."""
    form = MarksForm(request.POST, order=order, needed=False)
    told = say("Thank you. We have your yes.")
    return _press(
        request, token, order, agree_walk_round, form=form, told=told, how=AGREED
    )


@require_POST
@by_link
def customer_approve(
    request: HttpRequest, token: str, order: WorkOrder
) -> HttpResponse:
    """Approve what was found later, as it was shown."""
    form = MarksForm(request.POST, order=order, needed=True)
    told = say("Thank you. We have your approval and go on.")
    return _press(
        request, token, order, approve_marks, form=form, told=told, how=AGREED
    )


@require_POST
@by_link
def customer_recheck(
    request: HttpRequest, token: str, order: WorkOrder
) -> HttpResponse:
    """Ask for a day to have the film looked at again."""
    form = RecheckAskForm(request.POST)
    told = say("Thank you. We will write or call to confirm the time.")
    return _press(request, token, order, ask_for_recheck, form=form, told=told)


@require_GET
@by_link
def customer_calendar(
    request: HttpRequest, token: str, order: WorkOrder, what: str
) -> HttpResponse:
    """A date for the customer's own calendar."""
    appointment = appointment_of(order, what)
    if appointment is None:
        raise Http404
    body = calendar_bytes([appointment], made_at=timezone.now(), by=MADE_BY)
    response = HttpResponse(body, content_type="text/calendar; charset=utf-8")
    response["Content-Disposition"] = f'attachment; filename="{what}.ics"'
    return response


@require_GET
@by_link
def customer_paper(
    request: HttpRequest, token: str, order: WorkOrder, pk: int
) -> HttpResponse:
    """An issued paper that is written for the customer."""
    for paper in papers_of(order):
        if paper.pk == pk and paper.file is not None:
            response = media.served(paper.file, filename=f"{paper.number}.pdf")
            response["Cache-Control"] = "private, no-store"
            return response
    raise Http404


@require_GET
@by_link
def customer_photo(
    request: HttpRequest, token: str, order: WorkOrder, pk: int
) -> HttpResponse:
    """The photo of a mark on this car."""
    marks = Mark.objects.filter(workorder=order, photo__isnull=False)
    mark = get_object_or_404(marks.select_related("photo"), pk=pk)
    assert mark.photo is not None
    response = media.served(mark.photo)
    response["Cache-Control"] = "private, no-store"
    return response
