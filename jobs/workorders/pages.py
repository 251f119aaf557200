"""The work order's own page."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET

from jobs.additions.queries import missed_by_sheet
from jobs.cure.queries import settles_where
from jobs.handover.forms import RecheckFoundForm
from jobs.handover.recheck_queries import recheck_of
from jobs.models import WorkOrder
from jobs.opening.queries import said_closed
from jobs.path.order_queries import order_page
from jobs.promises.forms import DoubtForm
from jobs.promises.queries import check_of, clock, outlook_of
from jobs.returns.pages import return_shown
from jobs.stages.queries import read_together
from jobs.workorders.forms import (
    CrewForm,
    PauseForm,
    PlaceForm,
    PromiseForm,
)
from jobs.workorders.queries import order_head, ways_on
from shopapp.access import allow
from shopapp.htmx import page_or_fragment
from shopapp.pressing import Bound, form_for


@require_GET
@allow("workorder.view")
def workorder_detail(
    request: HttpRequest, pk: int, *, bound: Bound | None = None
) -> HttpResponse:
    """The order: where it stands, what it waits for, where to go on."""
    rows = order_head().prefetch_related("crew")
    workorder = get_object_or_404(rows, pk=pk)
    read_together([workorder])
    now = timezone.now()
    context: dict[str, Any] = {
        "order": workorder,
        "tab": "order",
        "ways": ways_on(workorder, now=now),
        "page": order_page(workorder, now=now),
        "now": now,
        "outlook": outlook_of(workorder, clock=clock(now=now)),
        "check": check_of(workorder),
        "settles_where": settles_where(workorder, now=now),
        "closed_then": said_closed("promise", workorder.promised_at)
        if not workorder.is_closed
        else None,
        "sheet_misses": missed_by_sheet(workorder),
        "work": workorder.added_work.select_related("done_by"),
        "crew": workorder.crew.all(),
        "bound": bound,
        "recheck": recheck_of(workorder, now=now),
        **return_shown(workorder, bound),
        **_forms(workorder, bound),
    }
    return page_or_fragment(
        request,
        "jobs/workorders/workorder_detail.html",
        "jobs/workorders/_workorder_detail.html",
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


def back(request: HttpRequest, pk: int) -> str:
    """The page that was pressed on."""
    name = BACK.get(request.POST.get("back", ""), "jobs:workorder_detail")
    return reverse(name, args=[pk])
