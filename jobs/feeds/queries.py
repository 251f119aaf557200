"""The feeds that there are, and what one of them says now."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from urllib.parse import urlsplit

from django.conf import settings
from django.db.models import Q
from django.urls import reverse

from jobs.feeds.entries import (
    BACK,
    Told,
    bay_entries,
    hand_over_entries,
    person_entries,
)
from jobs.feeds.ical import Entry, calendar_bytes
from jobs.models import BayPlan, CalendarFeed
from jobs.opening.queries import opening_of
from jobs.plan.name_queries import names_now, order_numbers
from jobs.plan.queries import plan_of, published
from jobs.public.link_queries import hash_of
from shopapp.models import the_shop

MADE_BY = "-//film shop//plan//EN"


def feed_of(token: str) -> CalendarFeed | None:
    """The feed of a token while it is good; looked up by hash, so not by guessing.

    Whoever has left the shop reads their work no more.
    """
    works_here = Q(person=None) | Q(person__is_active=True)
    return (
        CalendarFeed.objects.select_related("bay", "person")
        .filter(works_here, token_hash=hash_of(token), revoked_at=None)
        .first()
    )


def feed_address(token: str) -> str:
    """The whole address, to be typed into a calendar."""
    path = reverse("jobs:calendar_feed", args=[token])
    return str(settings.PUBLIC_URL).rstrip("/") + path


def feed_name(feed: CalendarFeed) -> str:
    """What the calendar is called on a phone."""
    return str(feed.bay or feed.person or "Hand-overs")


def feed_bytes(feed: CalendarFeed, *, now: datetime) -> bytes:
    """The feed as it is now, from the published plan alone."""
    row = published()
    entries = _entries(feed, row, now=now) if row else ()
    return calendar_bytes(
        entries,
        made_at=(row.settled_at or row.made_at) if row else feed.made_at,
        by=MADE_BY,
        name=feed_name(feed),
    )


def _entries(feed: CalendarFeed, row: BayPlan, *, now: datetime) -> Iterator[Entry]:
    plan, shop = plan_of(row), the_shop()
    told = Told(
        plan=plan,
        numbers=order_numbers(plan),
        names=names_now(),
        host=urlsplit(str(settings.PUBLIC_URL)).hostname or "localhost",
        since=now - BACK,
    )
    if feed.bay_id:
        return bay_entries(told, spot=f"bay-{feed.bay_id}")
    if feed.person_id:
        return person_entries(
            told,
            person=f"person-{feed.person_id}",
            opening=opening_of(shop),
            zone=shop.zone,
        )
    return hand_over_entries(told)
