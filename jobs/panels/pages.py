"""The panels of one order: the page."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.utils import timezone
from django.views.decorators.http import require_GET

from jobs.condition.reading_queries import readable_panels
from jobs.findings.queries import troubles
from jobs.models import WorkOrder
from jobs.panels.forms import (
    DefectForm,
    FinalLookForm,
    PanelNowForm,
    ReadingForm,
    SizeForm,
    StrikeForm,
)
from jobs.panels.laying_queries import laying_now
from jobs.panels.queries import PanelLine, drawn_car, panel_lines, reading_now
from jobs.stages.queries import read_together
from jobs.workorders.queries import order_head, ways_on
from shopapp.access import allow
from shopapp.htmx import page_or_fragment
from shopapp.pressing import Bound, form_for

ASIDE = {
    "defect": ("defect_open", DefectForm),
    "strike": ("panel_strike", StrikeForm),
    "measure": ("panel_measure", SizeForm),
}
"""What opens under a panel's row: the button it ends in, and its form."""


@require_GET
@allow("workorder.view")
def workorder_panels(
    request: HttpRequest, pk: int, *, bound: Bound | None = None
) -> HttpResponse:
    """The car and its panels; what is asked depends on the stage."""
    order = get_object_or_404(order_head(), pk=pk)
    read_together([order])
    lines = panel_lines(order, viewer_pk=request.user.pk)
    context = {
        "order": order,
        "tab": "panels",
        "bound": bound,
        "now": timezone.now(),
        "car": drawn_car(order, lines),
        "troubles": troubles(order),
        "laying": laying_now(order, at=timezone.now()),
        "ways": ways_on(order, now=timezone.now()),
        "look": order.final_looks.filter(round=order.round).last(),
        "look_form": form_for(FinalLookForm, bound, "finallook_record"),
        **_lines(request, lines, bound),
        **_reading(request, order, bound),
    }
    return page_or_fragment(
        request,
        "jobs/panels/workorder_panels.html",
        "jobs/panels/_workorder_panels.html",
        context,
    )


def _lines(
    request: HttpRequest, lines: list[PanelLine], bound: Bound | None
) -> dict[str, Any]:
    return {
        "lines": lines,
        "unready": sum(line.main_act == "ready" for line in lines),
        "unseen": sum(line.main_act == "look" for line in lines),
        "undo": _undo(request, lines),
        "aside": _aside(request, lines, bound),
    }


def _reading(
    request: HttpRequest, order: WorkOrder, bound: Bound | None
) -> dict[str, Any]:
    """The reading's form, open when a new one is wanted."""
    asked = PanelNowForm(request.GET if "panel_now" in request.GET else None)
    panel_c = asked.cleaned_data["panel_now"] if asked.is_valid() else None
    now = reading_now(order, now=timezone.now(), panel_c=panel_c)
    initial = {} if panel_c is None else {"panel_c": panel_c}
    form = form_for(
        lambda: ReadingForm(initial=initial, panels=readable_panels(order)),
        bound,
        "reading_take",
    )
    return {
        "reading": now,
        "reading_form": form,
        "reading_open": bool(
            now.wanted
            or now.moved
            or form.is_bound
            or request.GET.get("do") == "reading"
        ),
        "panel_now_form": asked,
        "holds": panel_c is not None and now.moved is None,
    }


def _undo(request: HttpRequest, lines: list[PanelLine]) -> PanelLine | None:
    """The panel that was just tapped, for ten seconds (the page lets it go)."""
    asked = request.GET.get("undo", "")
    return next(
        (
            line
            for line in lines
            if str(line.row.pk) == asked and (line.facts.is_laid or line.facts.is_ready)
        ),
        None,
    )


def _aside(
    request: HttpRequest, lines: list[PanelLine], bound: Bound | None
) -> dict[str, Any] | None:
    """The one form that stands open under a panel's row."""
    for do, (url_name, make) in ASIDE.items():
        for line in lines:
            came_back = bound and bound.is_for(url_name, panel_pk=line.row.pk)
            asked = (
                request.GET.get("do") == do
                and request.GET.get("panel") == str(line.row.pk)
                and bound is None
            )
            if came_back or asked:
                form = form_for(
                    lambda: make(initial=_known(do, line)),  # noqa: B023
                    bound,
                    url_name,
                    panel_pk=line.row.pk,
                )
                return {"do": do, "pk": line.row.pk, "form": form, "line": line}
    return None


def _known(do: str, line: PanelLine) -> dict[str, Any]:
    if do != "measure":
        return {}
    year = line.row.workorder.vehicle.year
    years = {"year_from": year, "year_to": year}
    if line.size.basis != "measured":
        return years
    return {
        "length_mm": line.size.length_mm,
        "width_mm": line.size.width_mm,
        **years,
    }


def reading_form(request: HttpRequest, pk: int) -> ReadingForm:
    """What was read, on one of the order's panels."""
    order = get_object_or_404(WorkOrder, pk=pk)
    return ReadingForm(request.POST, panels=readable_panels(order))
