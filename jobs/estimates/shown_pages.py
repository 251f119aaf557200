"""The estimate on the customer's page: its packages side by side, and the yes."""

from __future__ import annotations

from dataclasses import dataclass

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.utils.translation import gettext

from jobs.estimates.accept_forms import AcceptForm
from jobs.estimates.queries import ShownVersion, shown, told_line, with_versions
from jobs.models import CustomerEstimate, EstimateLine
from jobs.public.cover_queries import Cover, cover_of_choice
from jobs.public.queries import papers_of_version, shown_papers, visit
from shopapp.pressing import Bound, form_for


@dataclass(frozen=True, kw_only=True)
class ReadChoice:
    """A package in the customer's language."""

    pk: int
    name: str
    cover: Cover
    lines: list[tuple[str, EstimateLine]]
    price: object
    tax: object
    is_accepted: bool


def estimate_page(
    request: HttpRequest,
    token: str,
    row: CustomerEstimate,
    bound: Bound | None = None,
) -> HttpResponse:
    """The newest version, or an older one that was sent."""
    seen = shown(with_versions().get(pk=row.pk), now=timezone.now())
    sent = [each for each in seen.versions if each.row.sent_at]
    version = _asked_for(request, sent)
    context = {
        "token": token,
        "seen": seen,
        "sent": sent,
        "version": version,
        "vehicle": version.row.car,
        "choices": _choices(version),
        "can_accept": version.is_newest and seen.can_be_answered,
        "bound": bound,
        "accept_form": form_for(
            lambda: AcceptForm(version=version.row), bound, "customer_accept"
        ),
        "papers": shown_papers(papers_of_version(version.row)),
        "visit": visit(),
    }
    return render(request, "public/estimate.html", context)


def _asked_for(request: HttpRequest, sent: list[ShownVersion]) -> ShownVersion:
    if not sent:
        raise Http404
    wanted = request.GET.get("version", "")
    found = [each for each in sent if str(each.row.number) == wanted]
    if wanted and not found:
        raise Http404
    return found[0] if found else sent[0]


def _choices(version: ShownVersion) -> list[ReadChoice]:
    return [
        ReadChoice(
            pk=each.row.pk,
            name=gettext(each.row.get_package_display()),
            cover=cover_of_choice(each.row, body=version.row.body),
            lines=[(told_line(line), line) for line in each.row.lines.all()],
            price=each.row.price,
            tax=each.tax,
            is_accepted=each.is_accepted,
        )
        for each in version.choices
    ]
