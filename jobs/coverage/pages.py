"""The panel library."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from jobs.coverage.blanks import size_classes
from jobs.coverage.catalogue import Body
from jobs.coverage.queries import (
    BODIES,
    CLASSES,
    allowance_lines,
    chosen,
    measured_lines,
    template_lines,
)
from jobs.coverage.size_forms import AllowanceForm, PanelSizeForm
from jobs.models import MeasuredPanel
from shopapp.access import allow
from shopapp.pressing import Bound, form_for

MOST_LINES = 200


@require_GET
@allow("film.view")
def panel_sizes(request: HttpRequest, *, bound: Bound | None = None) -> HttpResponse:
    """Templates of a class and body, and what was measured."""
    size = chosen(request.GET.get("size", ""), known=CLASSES, default="D")
    body = chosen(request.GET.get("body", ""), known=BODIES, default=Body.SEDAN.value)
    measured = MeasuredPanel.objects.select_related("measured_by")[:MOST_LINES]
    initial = {"size_class": size, "body": body}
    context = {
        "bound": bound,
        "size": size,
        "body": body,
        "sizes": size_classes().items(),
        "bodies": BODIES,
        "templates": template_lines(size_class=size, body=Body(body)),
        "measured": measured_lines(measured),
        "form": form_for(
            lambda: PanelSizeForm(initial=initial), bound, "panel_size_add"
        ),
        "allowances": allowance_lines(),
        "allowance_form": form_for(AllowanceForm, bound, "panel_allowance"),
    }
    return render(request, "jobs/coverage/panel_sizes.html", context)
