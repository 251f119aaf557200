"""The panel library."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_POST

from jobs.actions.panel_sizes import add_panel_size, set_allowance
from jobs.blanks import size_classes
from jobs.coverage import Body
from jobs.forms.panel_sizes import AllowanceForm, PanelSizeForm
from jobs.models import MeasuredPanel
from jobs.queries.panel_sizes import (
    BODIES,
    CLASSES,
    allowance_lines,
    chosen,
    measured_lines,
    template_lines,
)
from shopapp.access import allow
from shopapp.pressing import Bound, form_for, press
from shopapp.say import say

MOST_LINES = 200


@require_GET
@allow("film.view")
def panel_sizes(request: HttpRequest) -> HttpResponse:
    """Templates of a class and body, and what was measured."""
    return _page(request, None)


def _page(request: HttpRequest, bound: Bound | None) -> HttpResponse:
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
    return render(request, "jobs/panel_sizes.html", context)


@require_POST
@allow("panelsize.add")
def panel_size_add(request: HttpRequest) -> HttpResponse:
    """Keep a measured panel."""
    return press(
        request,
        add_panel_size,
        form=PanelSizeForm(request.POST),
        page=lambda bound: _page(request, bound),
        then=reverse("jobs:panel_sizes"),
        told=say("Measured size kept. It wins over the template from now on."),
    )


@require_POST
@allow("panelsize.allow")
def panel_allowance(request: HttpRequest) -> HttpResponse:
    """Set what is added to a panel for its blank."""
    return press(
        request,
        set_allowance,
        form=AllowanceForm(request.POST),
        page=lambda bound: _page(request, bound),
        then=reverse("jobs:panel_sizes"),
        told=say("Kept. Plans made from now on use it."),
    )
