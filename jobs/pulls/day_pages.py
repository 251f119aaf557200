"""A day's pull: several cars of one film planned together."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_POST

from jobs.models import Film
from jobs.pulls.actions import plan_several
from jobs.pulls.day_forms import DayForm
from jobs.pulls.queries import orders_waiting, panels_to_cut, quick_plan
from shopapp.access import allow
from shopapp.pressing import Bound, press


@require_GET
@allow("film.view")
def pull_day(request: HttpRequest, *, bound: Bound | None = None) -> HttpResponse:
    """The cars that wait for film, film by film."""
    came_back = bound.form if bound else None
    forms = [
        came_back
        if isinstance(came_back, DayForm) and came_back.film == film
        else DayForm(film=film, waiting=waiting)
        for film, waiting in orders_waiting().items()
    ]
    return render(request, "jobs/pulls/pull_day.html", {"forms": forms, "bound": bound})


@require_POST
@allow("pull.plan_day")
def pull_day_plan(request: HttpRequest, film_pk: int) -> HttpResponse:
    """Plan them together; the pull is shared out by area."""
    film = get_object_or_404(Film, pk=film_pk)
    form = DayForm(request.POST, film=film, waiting=orders_waiting().get(film, []))
    wanted = form.chosen if form.is_valid() else []
    return press(
        request,
        plan_several,
        form=form,
        page=pull_day,
        then=lambda a: reverse("jobs:workorder_film", args=[a["workorder_pk"]]),
        quick=quick_plan(film, [(order, panels_to_cut(order)) for order in wanted]),
    )
