"""Page or fragment: what an htmx request is answered with."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django_htmx.middleware import HtmxDetails


def page_or_fragment(
    request: HttpRequest,
    page: str,
    fragment: str,
    context: dict[str, Any],
    *,
    status: int = 200,
) -> HttpResponse:
    """The whole page, or only its fragment for an htmx request that is not boosted."""
    details: HtmxDetails = request.htmx  # type: ignore[attr-defined]
    wanted = fragment if details and not details.boosted else page
    response = render(request, wanted, context, status=status)
    response["Vary"] = "HX-Request"
    return response
