"""The plan's first page: today by promise, and who is away."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.utils import timezone
from django.views.decorators.http import require_GET

from jobs.crews.queries import away_on
from jobs.opening.queries import opening_of
from jobs.plan.name_queries import names_of
from jobs.plan.naming import named
from jobs.plan.queries import plan_of, standing
from jobs.plan.shown_queries import (
    cars_here_and_coming,
    waiting,
    with_names,
)
from jobs.plan.today import today
from shopapp.access import allow
from shopapp.htmx import fingerprint_of, not_modified, page_or_fragment
from shopapp.models import shop_day, the_shop
from shopapp.pressing import Bound


@require_GET
@allow("plan.view")
def plan(request: HttpRequest, *, bound: Bound | None = None) -> HttpResponse:
    """The cars of the day, each in a sentence."""
    context = today_context(now=timezone.now())
    etag = fingerprint_of(request, context)
    if same := not_modified(request, etag):
        return same
    return page_or_fragment(
        request,
        "jobs/plan/plan.html",
        "jobs/plan/_today.html",
        {**context, "bound": bound, "tab": "today"},
        etag=etag,
    )


def today_context(*, now: datetime) -> dict[str, Any]:
    """What the page shows: plain facts, so that two looks can be compared."""
    shop = the_shop()
    here = timezone.localtime(now, shop.zone)
    next_open = opening_of(shop).first_open_day(here.date() + timedelta(days=1))
    _, until = shop_day(next_open, zone=shop.zone)
    known = cars_here_and_coming(now=now, until=until)
    cars = [car for car, _ in known]
    row = standing()
    shown = plan_of(row) if row else None
    names = names_of(shown, cars=cars)
    return {
        "today": today(cars, plan=shown, names=names, now=here, next_open=next_open),
        "outlooks": {
            car.key: with_names(outlook, names) for car, outlook in known if outlook
        },
        "away": [(str(row.person), row.half) for row in away_on(here.date())],
        "as_of": shown.as_of if shown else None,
        "clashes": [named(why, names) for why in shown.clashes] if shown else [],
        "waiting": waiting(),
    }
