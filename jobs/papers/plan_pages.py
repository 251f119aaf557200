"""The plan on paper and for a spreadsheet."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_GET

from jobs.film.list_text import written
from jobs.papers.plan_facts import shown_plan
from jobs.papers.plan_forms import PlanPaperForm
from jobs.plan.list_rows import COLUMNS, plan_rows
from jobs.plan.name_queries import names_of, order_numbers
from shopapp.access import allow
from shopapp.models import the_shop
from shopapp.pressing import Bound


@require_GET
@allow("paper.view")
def plan_papers(request: HttpRequest, *, bound: Bound | None = None) -> HttpResponse:
    """Which day, and what of it is printed."""
    today = timezone.localdate(timezone=the_shop().zone)
    came_back = bound.form if bound else None
    context = {
        "bound": bound,
        # One field for three buttons: what was typed comes back whichever was pressed.
        "form": came_back or PlanPaperForm(initial={"day": today}),
        "has_plan": shown_plan() is not None,
    }
    return render(request, "jobs/papers/plan_papers.html", context)


@require_GET
@allow("plan.export")
def plan_csv(request: HttpRequest) -> HttpResponse:
    """Every step of the plan as it stands."""
    plan, zone = shown_plan(), the_shop().zone
    rows = (
        plan_rows(plan, numbers=order_numbers(plan), names=names_of(plan), zone=zone)
        if plan
        else []
    )
    day = timezone.localdate(timezone=zone).isoformat()
    return HttpResponse(
        # The mark tells a spreadsheet that this is UTF-8.
        "\ufeff" + written(COLUMNS, rows),
        content_type="text/csv; charset=utf-8",
        headers={"Content-Disposition": f'attachment; filename="plan-{day}.csv"'},
    )
