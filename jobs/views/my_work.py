"""My work: the cars of the person who is signed in, most urgent first."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import require_GET

from jobs.queries.floor import car_on_floor, open_orders
from jobs.queries.order_page import first_step
from shopapp.access import allow
from shopapp.htmx import page_or_fragment
from shopapp.models import Person


@require_GET
@allow("work.view")
def my_work(request: HttpRequest) -> HttpResponse:
    """The signed-in person's cars, then those that nobody has."""
    if not isinstance(request.user, Person):
        return redirect("shopapp:sign_in")
    now = timezone.now()
    mine, free = [], []
    for order in open_orders():
        crew = [person.pk for person in order.crew.all()]
        if request.user.pk in crew:
            step, url = first_step(order, now=now)
            mine.append((car_on_floor(order, now=now), step, url))
        elif not crew:
            free.append(car_on_floor(order, now=now))
    return page_or_fragment(
        request, "jobs/my_work.html", "jobs/_my_work.html", {"mine": mine, "free": free}
    )
