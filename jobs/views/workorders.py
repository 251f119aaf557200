"""The work order's own page, and the buttons that move the car."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from jobs.actions.promises import change_promise, doubt_promise
from jobs.actions.rechecks import record_recheck
from jobs.actions.workorders import (
    advance_stage,
    pause_job,
    place_car,
    resume_job,
    set_crew,
)
from jobs.forms.handover import RecheckFoundForm
from jobs.forms.promises import DoubtForm
from jobs.forms.workorders import (
    AdvanceForm,
    CrewForm,
    PauseForm,
    PlaceForm,
    PromiseForm,
)
from jobs.models import WorkOrder
from jobs.queries.cure import settles_where
from jobs.queries.opening import said_closed
from jobs.queries.order_page import order_page
from jobs.queries.promises import check_of, clock, risk_of
from jobs.queries.rechecks import recheck_of
from jobs.queries.stages import read_together
from jobs.queries.workorders import order_head, ways_on
from shopapp.access import allow
from shopapp.htmx import page_or_fragment
from shopapp.pressing import Bound, form_for, press


@require_GET
@allow("workorder.view")
def workorder_detail(request: HttpRequest, pk: int) -> HttpResponse:
    """The order: where it stands, what it waits for, where to go on."""
    return _page(request, pk, None)


def _page(request: HttpRequest, pk: int, bound: Bound | None) -> HttpResponse:
    workorder = get_object_or_404(order_head(), pk=pk)
    read_together([workorder])
    now = timezone.now()
    context: dict[str, Any] = {
        "order": workorder,
        "tab": "order",
        "ways": ways_on(workorder, now=now),
        "page": order_page(workorder, now=now),
        "now": now,
        "risk": risk_of(workorder, clock=clock(now=now)),
        "check": check_of(workorder),
        "settles_where": settles_where(workorder, now=now),
        "closed_then": said_closed("promise", workorder.promised_at)
        if not workorder.is_closed
        else None,
        "work": workorder.added_work.select_related("done_by"),
        "crew": workorder.crew.all(),
        "bound": bound,
        "recheck": recheck_of(workorder, now=now),
        **_forms(workorder, bound),
    }
    return page_or_fragment(
        request,
        "jobs/workorder_detail.html",
        "jobs/_workorder_detail.html",
        context,
    )


def _forms(workorder: WorkOrder, bound: Bound | None) -> dict[str, Any]:
    return {
        "pause_form": form_for(PauseForm, bound, "workorder_pause"),
        "place_form": form_for(
            lambda: PlaceForm(initial=PlaceForm.initial_of(workorder)),
            bound,
            "workorder_place",
        ),
        "promise_form": form_for(
            lambda: PromiseForm(initial=PromiseForm.initial_of(workorder)),
            bound,
            "workorder_promise",
        ),
        "recheck_form": form_for(RecheckFoundForm, bound, "recheck_record"),
        "doubt_form": form_for(DoubtForm, bound, "promise_doubt"),
        "crew_form": form_for(
            lambda: CrewForm(initial={"people": workorder.crew.all()}),
            bound,
            "workorder_crew",
        ),
    }


BACK = {"checks": "jobs:workorder_checks", "panels": "jobs:workorder_panels"}
"""Pages that hold the way on as well: there one comes back to."""


def _press(request: HttpRequest, pk: int, do: Any, *, form: Any = None) -> HttpResponse:
    get_object_or_404(WorkOrder, pk=pk)
    back = BACK.get(request.POST.get("back", ""), "jobs:workorder_detail")
    return press(
        request,
        do,
        form=form,
        page=lambda bound: _page(request, pk, bound),
        then=reverse(back, args=[pk]),
        workorder_pk=pk,
    )


@require_POST
@allow("workorder.advance")
def workorder_advance(request: HttpRequest, pk: int) -> HttpResponse:
    """Move the car to another stage."""
    return _press(request, pk, advance_stage, form=AdvanceForm(request.POST))


@require_POST
@allow("workorder.pause")
def workorder_pause(request: HttpRequest, pk: int) -> HttpResponse:
    """Let the job wait."""
    return _press(request, pk, pause_job, form=PauseForm(request.POST))


@require_POST
@allow("workorder.resume")
def workorder_resume(request: HttpRequest, pk: int) -> HttpResponse:
    """Go on with the job."""
    return _press(request, pk, resume_job)


@require_POST
@allow("workorder.place")
def workorder_place(request: HttpRequest, pk: int) -> HttpResponse:
    """Say where the car stands."""
    return _press(request, pk, place_car, form=PlaceForm(request.POST))


@require_POST
@allow("workorder.crew")
def workorder_crew(request: HttpRequest, pk: int) -> HttpResponse:
    """Say who works on the car."""
    return _press(request, pk, set_crew, form=CrewForm(request.POST))


@require_POST
@allow("workorder.promise")
def workorder_promise(request: HttpRequest, pk: int) -> HttpResponse:
    """Promise the car for another time."""
    return _press(request, pk, change_promise, form=PromiseForm(request.POST))


@require_POST
@allow("promise.doubt")
def promise_doubt(request: HttpRequest, pk: int) -> HttpResponse:
    """Say that the promised time will not hold."""
    return _press(request, pk, doubt_promise, form=DoubtForm(request.POST))


@require_POST
@allow("recheck.record")
def recheck_record(request: HttpRequest, pk: int) -> HttpResponse:
    """What the recheck found."""
    return _press(request, pk, record_recheck, form=RecheckFoundForm(request.POST))
