"""My work: the cars of the person who is signed in, most urgent first."""

from __future__ import annotations

from datetime import datetime

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import require_GET

from jobs.path.order_queries import first_steps
from jobs.path.queries import cars_on_floor, open_orders
from jobs.plan.step_queries import days_of
from shopapp.access import allow
from shopapp.htmx import fingerprint_of, not_modified, page_or_fragment
from shopapp.models import Person


@require_GET
@allow("work.view")
def my_work(request: HttpRequest) -> HttpResponse:
    """The signed-in person's cars, what the plan has next, and what nobody has."""
    if not isinstance(request.user, Person):
        return redirect("shopapp:sign_in")
    context = my_work_context(request.user, now=timezone.now())
    etag = fingerprint_of(request, context)
    if same := not_modified(request, etag):
        return same
    return page_or_fragment(
        request, "jobs/path/my_work.html", "jobs/path/_my_work.html", context, etag=etag
    )


def my_work_context(person: Person, *, now: datetime) -> dict[str, object]:
    """What the page shows: plain facts, so that two looks can be compared."""
    cars = cars_on_floor(open_orders().select_related("film"), now=now)
    own = [car for car in cars if person in car.crew]
    steps = first_steps([car.order for car in own], now=now)
    return {
        "mine": [(car, *step) for car, step in zip(own, steps, strict=True)],
        "days": days_of(person, now=now),
        "free": [car for car in cars if not car.crew],
    }
