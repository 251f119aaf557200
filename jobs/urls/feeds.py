"""Calendar feeds of the published plan."""

from __future__ import annotations

from django.urls import URLPattern, path

from jobs.feeds import pages
from jobs.feeds.actions import revoke_feed
from jobs.models import CalendarFeed
from shopapp.buttons import button
from shopapp.rows import by_pk
from shopapp.say import say

urlpatterns: list[URLPattern] = [
    path("plan/feeds/", pages.feeds, name="feeds"),
    path("plan/feeds/make/", pages.feed_make, name="feed_make"),
    path(
        "plan/feeds/<int:pk>/revoke/",
        button(
            revoke_feed,
            page=pages.feeds,
            on=by_pk(CalendarFeed, "feed_pk"),
            told=say("Shut. The address is good for nothing from now on."),
        ),
        name="feed_revoke",
    ),
    # a calendar's secret address
    path("feeds/<str:token>.ics", pages.calendar_feed, name="calendar_feed"),
]
