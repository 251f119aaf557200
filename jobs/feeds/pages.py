"""Calendar feeds: made, shown once, shut; and what a calendar reads."""

from __future__ import annotations

import hashlib
from inspect import unwrap

from django.http import HttpRequest, HttpResponse, HttpResponseNotFound
from django.shortcuts import render
from django.utils import timezone
from django.utils.cache import get_conditional_response
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET, require_POST

from jobs.feeds.actions import make_feed
from jobs.feeds.forms import FeedForm
from jobs.feeds.queries import feed_address, feed_bytes, feed_name, feed_of
from jobs.models import CalendarFeed
from jobs.public.link_queries import hash_of, token_of
from shopapp.access import allow, open_to_all
from shopapp.pressing import Bound, form_for, press


@require_GET
@never_cache
@allow("feed.make")
def feeds(
    request: HttpRequest, *, bound: Bound | None = None, address: str = ""
) -> HttpResponse:
    """The feeds that are open.

    address  of the one that was just made: it is shown this once
    """
    rows = CalendarFeed.objects.filter(revoked_at=None)
    context = {
        "bound": bound,
        "address": address,
        "feeds": [
            (row, feed_name(row))
            for row in rows.select_related("bay", "person", "made_by")
        ],
        "form": form_for(FeedForm, bound, "feed_make"),
    }
    return render(request, "jobs/feeds/feeds.html", context)


@require_POST
@never_cache
@allow("feed.make")
def feed_make(request: HttpRequest) -> HttpResponse:
    """Make a secret address and show it this once; only its hash is kept."""
    token = token_of(key=request.POST.get("key", ""))
    form = FeedForm(request.POST)
    made = press(request, make_feed, page=feeds, form=form, token_hash=hash_of(token))
    if made.status_code != 303:
        return made
    # Without its decorators: they would refuse the POST.
    shown: HttpResponse = unwrap(feeds)(request, address=feed_address(token))
    return shown


@open_to_all
@require_GET
def calendar_feed(request: HttpRequest, token: str) -> HttpResponse:
    """A feed, as a calendar asks for it: no login, and nothing about a customer."""
    feed = feed_of(token)
    if feed is None:
        return HttpResponseNotFound("No such calendar.", content_type="text/plain")
    body = feed_bytes(feed, now=timezone.now())
    etag = f'"{hashlib.sha256(body).hexdigest()[:32]}"'
    known = get_conditional_response(request, etag=etag)
    answer = known or HttpResponse(body, content_type="text/calendar; charset=utf-8")
    answer.headers["ETag"] = etag
    answer.headers["Cache-Control"] = "private, no-cache"
    answer.headers["Referrer-Policy"] = "no-referrer"
    answer.headers["X-Robots-Tag"] = "noindex"
    return answer
