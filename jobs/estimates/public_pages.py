"""The customer reads an estimate and accepts it by the secret link."""

from __future__ import annotations

from django.http import Http404, HttpRequest, HttpResponse
from django.urls import reverse
from django.views.decorators.http import require_GET, require_POST

from jobs.estimates.accept_actions import CameFrom, accept_estimate
from jobs.estimates.accept_forms import AcceptForm
from jobs.estimates.shown_pages import estimate_page
from jobs.models import CustomerLink
from jobs.public.pages import AGREED, LINK, by_any_link
from shopapp.pressing import press
from shopapp.say import say


@require_GET
@by_any_link
def customer_estimate(
    request: HttpRequest, token: str, link: CustomerLink
) -> HttpResponse:
    """The estimate itself, also once it is booked; each version that was sent."""
    if link.estimate is None:
        raise Http404
    return estimate_page(request, token, link.estimate)


@require_POST
@by_any_link
def customer_accept(
    request: HttpRequest, token: str, link: CustomerLink, version_pk: int
) -> HttpResponse:
    """Yes to one package of the version that was read."""
    row = link.estimate
    version = row.versions.filter(pk=version_pk).first() if row else None
    if row is None or version is None:
        raise Http404
    return press(
        request,
        accept_estimate,
        page=lambda bound: estimate_page(request, token, row, bound),
        then=reverse("jobs:customer_estimate", args=[token]),
        form=AcceptForm(request.POST, version=version),
        told=say("Thank you. We have your yes and will call you about a day."),
        via=LINK,
        estimate_pk=row.pk,
        version_pk=version.pk,
        how=AGREED,
        came_from=CameFrom(address=request.META.get("REMOTE_ADDR", "")),
    )
