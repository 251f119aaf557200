"""The panels of one order: reading, ready, laid, struck off, measured, looked at."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from jobs.actions.inspection import look_at_panel, look_at_the_rest, take_back_look
from jobs.actions.panels import (
    lay_panel,
    make_all_ready,
    make_panel_ready,
    measure_panel,
    strike_panel,
    take_back_laid,
)
from jobs.actions.readings import take_reading
from jobs.forms.panels import (
    DefectForm,
    FinalLookForm,
    PanelNowForm,
    ReadingForm,
    SizeForm,
    StrikeForm,
)
from jobs.models import OrderPanel, WorkOrder
from jobs.queries.laying import laying_now
from jobs.queries.panels import PanelLine, drawn_car, panel_lines, reading_now
from jobs.queries.panels_read import readable_panels
from jobs.queries.stages import read_together
from jobs.queries.trouble import troubles
from jobs.queries.workorders import order_head, ways_on
from shopapp.access import allow
from shopapp.htmx import page_or_fragment
from shopapp.pressing import Bound, form_for, press

ASIDE = {
    "defect": ("defect_open", DefectForm),
    "strike": ("panel_strike", StrikeForm),
    "measure": ("panel_measure", SizeForm),
}
"""What opens under a panel's row: the button it ends in, and its form."""


@require_GET
@allow("workorder.view")
def workorder_panels(request: HttpRequest, pk: int) -> HttpResponse:
    """The car and its panels; what is asked depends on the stage."""
    return panels_page(request, pk, None)


def panels_page(request: HttpRequest, pk: int, bound: Bound | None) -> HttpResponse:
    """The panels page, with what came back from one of its buttons."""
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
        request, "jobs/workorder_panels.html", "jobs/_workorder_panels.html", context
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


def press_panels(
    request: HttpRequest,
    pk: int,
    do: Any,
    *,
    form: Any = None,
    undo: int | None = None,
    **facts: Any,
) -> HttpResponse:
    """Press a button of the panels page."""
    get_object_or_404(WorkOrder, pk=pk)
    url = reverse("jobs:workorder_panels", args=[pk])
    return press(
        request,
        do,
        form=form,
        page=lambda bound: panels_page(request, pk, bound),
        then=f"{url}?undo={undo}" if undo else url,
        workorder_pk=pk,
        **facts,
    )


@require_POST
@allow("reading.take")
def reading_take(request: HttpRequest, pk: int) -> HttpResponse:
    """Keep a reading."""
    order = get_object_or_404(WorkOrder, pk=pk)
    form = ReadingForm(request.POST, panels=readable_panels(order))
    return press_panels(request, pk, take_reading, form=form)


@require_POST
@allow("panel.all_ready")
def panels_ready(request: HttpRequest, pk: int) -> HttpResponse:
    """All panels still in prep are ready."""
    return press_panels(request, pk, make_all_ready)


@require_POST
@allow("panel.ready")
def panel_ready(request: HttpRequest, pk: int, panel_pk: int) -> HttpResponse:
    """A panel is clean, dry and wiped."""
    return press_panels(request, pk, make_panel_ready, panel_pk=panel_pk)


@require_POST
@allow("panel.ready")
def panel_unready(request: HttpRequest, pk: int, panel_pk: int) -> HttpResponse:
    """A panel goes back into prep."""
    return press_panels(request, pk, make_panel_ready, panel_pk=panel_pk, ready=False)


@require_POST
@allow("panel.lay")
def panel_lay(request: HttpRequest, pk: int, panel_pk: int) -> HttpResponse:
    """Film is on."""
    return press_panels(request, pk, lay_panel, undo=panel_pk, panel_pk=panel_pk)


@require_POST
@allow("panel.unlay")
def panel_unlay(request: HttpRequest, pk: int, panel_pk: int) -> HttpResponse:
    """It was a slip of the finger."""
    return press_panels(request, pk, take_back_laid, panel_pk=panel_pk)


@require_POST
@allow("panel.strike")
def panel_strike(request: HttpRequest, pk: int, panel_pk: int) -> HttpResponse:
    """No film will be laid here, and why."""
    form = StrikeForm(request.POST)
    return press_panels(request, pk, strike_panel, form=form, panel_pk=panel_pk)


@require_POST
@allow("panel.strike")
def panel_put_back(request: HttpRequest, pk: int, panel_pk: int) -> HttpResponse:
    """The panel is to be filmed after all."""
    return press_panels(request, pk, strike_panel, panel_pk=panel_pk)


@require_POST
@allow("panel.measure")
def panel_measure(request: HttpRequest, pk: int, panel_pk: int) -> HttpResponse:
    """Keep the size that the tape shows."""
    row = get_object_or_404(OrderPanel, pk=panel_pk, workorder_id=pk)
    form = SizeForm(request.POST)
    return press_panels(request, pk, measure_panel, form=form, panel=row.panel)


@require_POST
@allow("panel.look")
def panel_look(request: HttpRequest, pk: int, panel_pk: int) -> HttpResponse:
    """Looked at under hard light, and fine."""
    return press_panels(request, pk, look_at_panel, undo=panel_pk, panel_pk=panel_pk)


@require_POST
@allow("panel.unlook")
def panel_unlook(request: HttpRequest, pk: int, panel_pk: int) -> HttpResponse:
    """It was a slip of the finger."""
    return press_panels(request, pk, take_back_look, panel_pk=panel_pk)


@require_POST
@allow("panel.all_looked")
def panels_looked(request: HttpRequest, pk: int) -> HttpResponse:
    """The rest was looked at as well: all fine."""
    return press_panels(request, pk, look_at_the_rest)
