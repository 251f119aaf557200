"""The customer's page, opened by a secret link: read, agree, keep a date, ask."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import Any

from django.conf import settings
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils import timezone, translation
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET, require_POST

from jobs.additions.queries import offered_to
from jobs.condition.agreement_actions import (
    agree_walk_round,
    approve_marks,
    decline_marks,
)
from jobs.estimates.shown_pages import estimate_page
from jobs.feeds.ical import calendar_bytes
from jobs.handover.queries import asked_recheck_of
from jobs.models import Booking, Customer, CustomerLink, Mark, WorkOrder
from jobs.papers.care_facts import care_facts
from jobs.papers.facts import Json, revived
from jobs.papers.film_record_facts import film_record_facts
from jobs.public.actions import ask_for_recheck
from jobs.public.customer_forms import ReportForm
from jobs.public.customer_says import still_to_do
from jobs.public.forms import DeclineForm, MarksForm, RecheckAskForm
from jobs.public.link_queries import (
    booking_of,
    customer_of,
    link_of,
    note_opened,
    order_of,
    pressed_too_often,
)
from jobs.public.queries import (
    appointment_of,
    booking_view,
    customer_view,
    papers_by,
    shown_papers,
    visit,
)
from jobs.public.report_actions import MOST_PHOTOS, send_report
from shopapp import media
from shopapp.access import View, open_to_all
from shopapp.models import HistoryEntry
from shopapp.pressing import Bound, form_for, press
from shopapp.say import say

LINK = HistoryEntry.Via.LINK
AGREED = WorkOrder.Agreed.LINK.value
MADE_BY = "-//film shop//work orders//EN"


def language_of(request: HttpRequest, link: CustomerLink | None) -> str:
    """What was chosen on the page, else the customer's own, else the browser's."""
    kept = request.COOKIES.get(settings.LANGUAGE_COOKIE_NAME)
    for chosen in (request.GET.get("lang"), kept):
        if chosen in Customer.Language.values:
            return str(chosen)
    if link is None:
        return translation.get_language_from_request(request)
    return str(customer_of(link).language)


def keep_language(response: HttpResponse, language: str) -> None:
    """Remember the choice in this browser, for the customer's pages alone."""
    response.set_cookie(
        settings.LANGUAGE_COOKIE_NAME,
        language,
        path="/c/",
        httponly=True,
        secure=settings.SESSION_COOKIE_SECURE,
        samesite="Lax",
    )


def by_any_link(view: Callable[..., HttpResponse]) -> View:
    """Hand a good link to a view; a bad token reads a plain page."""

    @wraps(view)
    @never_cache
    def opened(request: HttpRequest, token: str, **kwargs: Any) -> HttpResponse:
        link = link_of(token, now=timezone.now())
        language = language_of(request, link)
        with translation.override(language):
            response = view(request, token, link, **kwargs) if link else gone(request)
        response.headers["Content-Language"] = language
        if request.GET.get("lang") == language:
            keep_language(response, language)
        # The address is the key: no other site learns it. Not "no-referrer", which
        # makes a browser's POST nameless and so refused.
        response.headers["Referrer-Policy"] = "same-origin"
        response.headers["X-Robots-Tag"] = "noindex, nofollow"
        return response

    return open_to_all(opened)


def by_link(view: Callable[..., HttpResponse]) -> View:
    """Hand the order of a good token to a view."""

    @wraps(view)
    def opened(
        request: HttpRequest, token: str, link: CustomerLink, **kwargs: Any
    ) -> HttpResponse:
        order = order_of(link)
        return view(request, token, order, **kwargs) if order else gone(request)

    return by_any_link(opened)


def gone(request: HttpRequest) -> HttpResponse:
    return render(request, "public/gone.html", status=404)


@require_GET
@by_any_link
def customer_page(request: HttpRequest, token: str, link: CustomerLink) -> HttpResponse:
    """Where the car is and when it is ready; before it comes, when it is expected."""
    note_opened(link, now=timezone.now())
    if order := order_of(link):
        return _page(request, token, order, None)
    if booking := booking_of(link):
        return _booked(request, token, booking, link)
    assert link.estimate is not None
    return estimate_page(request, token, link.estimate)


def _booked(
    request: HttpRequest, token: str, booking: Booking, link: CustomerLink
) -> HttpResponse:
    if booking.state == Booking.State.CANCELLED:
        return gone(request)
    context = {
        "token": token,
        "booking": booking,
        "vehicle": booking.vehicle,
        "seen": booking_view(booking),
        "link": link,
        "papers": shown_papers(papers_by(link)),
        "visit": visit(),
    }
    return render(request, "public/booking.html", context)


def _page(
    request: HttpRequest, token: str, order: WorkOrder, bound: Bound | None
) -> HttpResponse:
    seen = customer_view(order, now=timezone.now())
    context = {
        "token": token,
        "order": order,
        "vehicle": order.vehicle,
        "bound": bound,
        "seen": seen,
        "to_ask": [(each, _no_form(order, each.mark, bound)) for each in seen.to_ask],
        "visit": visit(),
        "offered": offered_to(order),
        "recheck_form": form_for(RecheckAskForm, bound, "customer_recheck"),
        "report_form": form_for(ReportForm, bound, "customer_report"),
        "most_photos": MOST_PHOTOS,
        **(_afterwards(order) if order.is_closed else {}),
    }
    return render(request, "public/order.html", context)


def _no_form(order: WorkOrder, mark: Mark, bound: Bound | None) -> DeclineForm:
    """Each mark has its own: the one that came back is of the mark it was about."""
    form = DeclineForm(order=order, needed=True)
    back = bound.form if bound else None
    if isinstance(back, DeclineForm) and str(mark.pk) in back["marks"].value():
        form = back
    form.auto_id = f"id-no-{mark.pk}-%s"
    return form


def _afterwards(order: WorkOrder) -> Json:
    """Care and film as the papers say them: one source for paper and phone."""
    now, today = timezone.now(), timezone.localdate()
    care = revived(care_facts(order, at=now))
    return {
        "care": care | {"lines": still_to_do(care["lines"], today=today)},
        "has_recheck": order.recheck_at is not None and order.recheck_at > now,
        "asked_on": asked_recheck_of(order, now=now),
        "first_day_is_past": care["given_on"] < today,
        "record": revived(film_record_facts(order, at=now)),
        "reports": order.customer_reports.filter(settled_at=None),
    }


def press_by_link(
    request: HttpRequest, token: str, order: WorkOrder, do: Any, **more: Any
) -> HttpResponse:
    """What the customer presses on the page of an order."""
    if pressed_too_often(order, now=timezone.now()):
        return _too_often(request, token, order)
    return press(
        request,
        do,
        page=lambda bound: _page(request, token, order, bound),
        then=reverse("jobs:customer_page", args=[token]),
        via=LINK,
        workorder_pk=order.pk,
        **more,
    )


def _too_often(request: HttpRequest, token: str, order: WorkOrder) -> HttpResponse:
    match = request.resolver_match
    reason = say("That was sent very often. Wait an hour, or call us.")
    name = (match.url_name if match else "") or ""
    subject = dict(match.kwargs) if match else {}
    bound = Bound(url_name=name, subject=subject, form=None, reasons=(reason,))
    answer = _page(request, token, order, bound)
    answer.status_code = 429
    return answer


@require_POST
@by_link
def customer_agree(request: HttpRequest, token: str, order: WorkOrder) -> HttpResponse:
    """Agree to coverage, price, condition and terms, as they were shown."""
    form = MarksForm(request.POST, order=order, needed=False)
    told = say("Thank you. We have your yes.")
    return press_by_link(
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
    return press_by_link(
        request, token, order, approve_marks, form=form, told=told, how=AGREED
    )


@require_POST
@by_link
def customer_decline(
    request: HttpRequest, token: str, order: WorkOrder
) -> HttpResponse:
    """Say no to film over what was found: the desk calls."""
    form = DeclineForm(request.POST, order=order, needed=True)
    told = say("Thank you. We lay no film there before we have called you.")
    return press_by_link(request, token, order, decline_marks, form=form, told=told)


@require_POST
@by_link
def customer_report(request: HttpRequest, token: str, order: WorkOrder) -> HttpResponse:
    """Write that something looks wrong, with photos."""
    form = ReportForm(request.POST, request.FILES)
    told = say("Thank you. We have your message and will call you.")
    return press_by_link(request, token, order, send_report, form=form, told=told)


@require_POST
@by_link
def customer_recheck(
    request: HttpRequest, token: str, order: WorkOrder
) -> HttpResponse:
    """Ask for a day to have the film looked at again."""
    form = RecheckAskForm(request.POST)
    told = say("Thank you. We will write or call to confirm the time.")
    return press_by_link(request, token, order, ask_for_recheck, form=form, told=told)


@require_GET
@by_any_link
def customer_calendar(
    request: HttpRequest, token: str, link: CustomerLink, what: str
) -> HttpResponse:
    """A date for the customer's own calendar."""
    row = order_of(link) or booking_of(link)
    appointment = appointment_of(row, what) if row else None
    if appointment is None:
        raise Http404
    body = calendar_bytes([appointment], made_at=timezone.now(), by=MADE_BY)
    response = HttpResponse(body, content_type="text/calendar; charset=utf-8")
    response["Content-Disposition"] = f'attachment; filename="{what}.ics"'
    return response


@require_GET
@by_any_link
def customer_paper(
    request: HttpRequest, token: str, link: CustomerLink, pk: int
) -> HttpResponse:
    """An issued paper that is written for the customer."""
    for paper in papers_by(link):
        if paper.pk == pk and paper.file is not None:
            response = media.served(request, paper.file, filename=f"{paper.number}.pdf")
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
    response = media.served(request, mark.photo)
    response["Cache-Control"] = "private, no-store"
    return response
