"""Moving a car: what is in the way is said before anything is kept."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_POST

from jobs.plan.car_pages import booking_of, car_page, move_form
from jobs.plan.move_queries import look_of
from shopapp.access import allow


@require_POST
@allow("plan.move")
def plan_car_look(request: HttpRequest, pk: int) -> HttpResponse:
    """What clashes with what is typed; nothing is kept."""
    booking, form = booking_of(pk), move_form(request, pk)
    look = look_of(booking, **form.cleaned_data) if form.is_valid() else None
    if str(request.htmx.target) == "plan-look":  # type: ignore[attr-defined]
        context = {"form": form, "look": look, "looked": True}
        return render(request, "jobs/plan/_look.html", context)
    return car_page(request, booking, form, look=look, looked=True)
