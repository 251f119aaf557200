"""Page or fragment: what an htmx request is answered with."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from typing import Any

from django.http import HttpRequest, HttpResponse, HttpResponseNotModified
from django.shortcuts import render
from django.utils.translation import get_language
from django_htmx.middleware import HtmxDetails


def page_or_fragment(
    request: HttpRequest,
    page: str,
    fragment: str,
    context: dict[str, Any],
    *,
    status: int = 200,
    etag: str = "",
) -> HttpResponse:
    """The whole page, or only its fragment for an htmx request that is not boosted.

    etag  for a page that asks again when the shop has changed: `fingerprint_of`
    """
    details: HtmxDetails = request.htmx  # type: ignore[attr-defined]
    # "Back" of the browser asks for the whole page again, by htmx as well.
    whole = not details or details.boosted or details.history_restore_request
    wanted = page if whole else fragment
    if etag:
        context = {**context, "etag": etag}
    response = render(request, wanted, context, status=status)
    response["Vary"] = "HX-Request"
    if etag and wanted == fragment:
        response["ETag"] = f'"{etag}"'
        # Not for the browser's store: an old fragment holds keys that were used.
        response["Cache-Control"] = "private, no-store"
    return response


def fingerprint_of(request: HttpRequest, facts: Mapping[str, object]) -> str:
    """An entity tag over what a page shows to this person, by the facts' `repr`.

    Over facts and not bytes: each rendering brings new keys for its forms.
    """
    known = (request.user.pk, get_language(), sorted(facts.items()))
    return hashlib.sha256(repr(known).encode()).hexdigest()[:32]


def not_modified(request: HttpRequest, etag: str) -> HttpResponse | None:
    """304 where the page that asks shows these very facts already (RFC 9110 13.1.2).

    `live.js` sends the tag that stands in the fragment, so no browser cache takes part.
    """
    details: HtmxDetails = request.htmx  # type: ignore[attr-defined]
    if details and request.headers.get("If-None-Match") == f'"{etag}"':
        return HttpResponseNotModified()
    return None
