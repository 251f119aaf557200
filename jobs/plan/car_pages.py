"""One car in the plan: its steps, and what is fixed of it."""

from __future__ import annotations

from typing import Any, cast

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils import timezone
from django.views.decorators.http import require_GET

from jobs.models import Booking
from jobs.plan.fixed_day import stays_put
from jobs.plan.forms import MoveForm, move_initial
from jobs.plan.move_look import Look
from jobs.plan.name_queries import names_of
from jobs.plan.planned import ShopPlan
from jobs.plan.queries import plan_of, standing
from jobs.plan.shown_queries import (
    car_and_outlook,
    fixed_of,
    wish_of,
    with_names,
)
from jobs.plan.today import doings, line_of
from shopapp.access import allow
from shopapp.models import the_shop
from shopapp.pressing import Bound
from shopapp.say import Say


@require_GET
@allow("plan.view")
def plan_car(
    request: HttpRequest, pk: int, *, bound: Bound | None = None
) -> HttpResponse:
    """A car's steps, and the form that moves it."""
    booking = booking_of(pk)
    form = cast(MoveForm, bound.form) if bound and bound.form else _first(booking)
    return car_page(request, booking, form, bound=bound)


def booking_of(pk: int) -> Booking:
    """The booking with what its car's page shows, or 404."""
    rows = Booking.objects.select_related(
        "vehicle", "customer", "bay", "film", "forecast", "workorder"
    )
    return get_object_or_404(rows, pk=pk)


def _why_it_stays(booking: Booking) -> Say | None:
    has_come = booking.state == Booking.State.ARRIVED
    return stays_put(
        is_cancelled=booking.state == Booking.State.CANCELLED,
        stage=booking.workorder.stage_now if has_come else None,
    )


def move_form(request: HttpRequest, pk: int) -> MoveForm:
    """What a person fixes of this car."""
    return MoveForm(request.POST, booking=booking_of(pk), now=timezone.now())


def _first(booking: Booking) -> MoveForm:
    initial = move_initial(booking, wish_of(booking))
    return MoveForm(initial=initial, booking=booking, now=timezone.now())


def car_page(
    request: HttpRequest,
    booking: Booking,
    form: MoveForm,
    *,
    bound: Bound | None = None,
    look: Look | None = None,
    looked: bool = False,
) -> HttpResponse:
    """The page with this form, after a look with what the look found."""
    now = timezone.localtime(timezone.now(), the_shop().zone)
    row = standing()
    shown = plan_of(row) if row else None
    car, outlook = car_and_outlook(booking, now=now)
    names = names_of(shown, cars=[car])
    context = {
        "booking": booking,
        "form": form,
        "bound": bound,
        "look": look,
        "looked": looked,
        "stays_put": _why_it_stays(booking),
        "line": line_of(car, plan=shown, names=names, now=now),
        "outlook": outlook and with_names(outlook, names),
        "steps": _steps(shown, car.key, names),
        "as_of": shown.as_of if shown else None,
        "fixed": fixed_of(booking),
    }
    return render(request, "jobs/plan/plan_car.html", context)


def _steps(plan: ShopPlan | None, key: str, names: dict[str, str]) -> list[Any]:
    return doings(plan.steps_of(key), names=names) if plan else []
