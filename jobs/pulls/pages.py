"""The film page of an order: blanks, plan, cut list; take it; cut again."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils.http import urlencode
from django.views.decorators.http import require_GET, require_POST

from jobs.coverage.catalogue import Body, panel_name
from jobs.models import OrderPanel, Pull, Roll, WorkOrder
from jobs.pulls.actions import plan_several, plan_the_pull, recut_panels
from jobs.pulls.change_queries import changed_since
from jobs.pulls.claims import taken_told
from jobs.pulls.forms import ConfirmForm, ReturnForm, UnplannedForm, ended_rolls
from jobs.pulls.plan import no_film
from jobs.pulls.queries import (
    lots_taken,
    open_pull,
    panels_cut,
    panels_to_cut,
    planned_with,
    pull_job,
    quick_plan,
    roll_said,
    rolls_there,
)
from jobs.pulls.roll_end_queries import plan_for_the_rest
from jobs.pulls.shown_queries import (
    PullShown,
    label_papers,
    money_of,
    offcuts_gone,
    pull_shown,
)
from jobs.pulls.taken_actions import confirm_pull
from jobs.pulls.taken_queries import film_taken, lots_said
from jobs.workorders.queries import order_head
from shopapp.access import allow, may
from shopapp.htmx import page_or_fragment
from shopapp.pressing import Bound, form_for, press
from shopapp.say import say


@require_GET
@allow("workorder.view")
def workorder_film(
    request: HttpRequest, pk: int, *, bound: Bound | None = None
) -> HttpResponse:
    """The blanks, the plan and what was taken."""
    rows = order_head().prefetch_related("panels", "pulls")
    workorder = get_object_or_404(rows, pk=pk)
    by_eye = form_for(
        lambda: UnplannedForm(**_may_be_named(workorder)), bound, "pull_unplanned"
    )
    context: dict[str, Any] = {
        "order": workorder,
        "tab": "film",
        "bound": bound,
        "job": pull_job(workorder.film, [(workorder, panels_to_cut(workorder))]),
        "no_film": no_film(film=workorder.film.name),
        "cut": _panels(workorder, panels_cut(workorder)),
        "return_form": form_for(ReturnForm, bound, "film_return"),
        "unplanned_form": by_eye,
        "short_by_eye": Roll.objects.filter(code=by_eye.roll_to_count).first(),
        **_pulls(
            workorder,
            bound,
            typed=request.GET.dict(),
            sees_money=may(request.user, "film.cost"),
        ),
    }
    return page_or_fragment(
        request,
        "jobs/pulls/workorder_film.html",
        "jobs/pulls/_workorder_film.html",
        context,
    )


def _pulls(
    workorder: WorkOrder,
    bound: Bound | None,
    *,
    typed: dict[str, str],
    sees_money: bool,
) -> dict[str, Any]:
    """The plan that waits, with its form, and what was taken before."""
    taken = film_taken(workorder)
    labels = label_papers(each.row for each in taken)
    waiting = open_pull(workorder)
    planned = pull_shown(waiting) if waiting else None
    found: dict[str, Any] = {
        "taken": [
            (
                each,
                money_of(each.shown) if sees_money and each.shown else None,
                labels.get(each.row.pk),
            )
            for each in taken
        ],
        "lots": lots_said(workorder, planned.found.plan if planned else None),
    }
    if waiting and planned:
        found |= _planned(waiting, planned, bound, typed=typed)
        found["money"] = money_of(planned) if sees_money else None
    return found


def _planned(
    waiting: Pull, planned: PullShown, bound: Bound | None, *, typed: dict[str, str]
) -> dict[str, Any]:
    """The plan, whether it still fits, and its form."""
    form = form_for(
        lambda: ConfirmForm(pull=waiting, typed=typed), bound, "pull_confirm"
    )
    orders = [pull.workorder for pull in planned_with(waiting)]
    spoilt = waiting.plan["spoilt"]
    return {
        "planned": planned,
        "confirm_form": form,
        "gone": offcuts_gone(planned),
        "changed": changed_since(planned.found, orders, spoilt=spoilt),
        "to_count": Roll.objects.filter(code__in=form.rolls_to_count),
    }


def _may_be_named(
    workorder: WorkOrder, *, roll: str = "", panels: Sequence[str] = ()
) -> dict[str, list[tuple[str, str]]]:
    """Rolls and panels of film taken without a plan.

    roll, panels  named already: a second press of a button is no mistake
    """
    body = Body(workorder.vehicle.body)
    rolls = rolls_there(workorder.film) | workorder.film.rolls.filter(code=roll)
    on_car = lots_taken(workorder)
    codes = {*panels, *(panel.panel for panel in panels_to_cut(workorder))}
    return {
        # The lot that is on the car first, then the longest.
        "rolls": [
            (row.code, roll_said(row))
            for row in sorted(rolls, key=lambda r: (r.lot not in on_car, -r.left_mm))
        ],
        "panels": [
            (panel.panel, panel_name(panel.panel, body=body))
            for panel in _panels(workorder, codes)
        ],
    }


def _panels(workorder: WorkOrder, codes: set[str]) -> list[OrderPanel]:
    return [panel for panel in workorder.panels.all() if panel.panel in codes]


@require_GET
@allow("workorder.view")
def pull_seen(request: HttpRequest, pk: int, seen: str) -> HttpResponse:
    """Nothing new (204), or the page's fragment once the search has ended."""
    workorder = get_object_or_404(WorkOrder, pk=pk)
    waiting = open_pull(workorder)
    if waiting and pull_shown(waiting).seen == seen:
        return HttpResponse(status=204)
    return workorder_film(request, pk)


@require_GET
@allow("workorder.view")
def pull_drawing(request: HttpRequest, pk: int, pull_pk: int) -> HttpResponse:
    """The cut list's drawing as an SVG file."""
    pull = get_object_or_404(Pull, pk=pull_pk, workorder=pk, cut_plan__isnull=False)
    name = f"{pull.workorder.number}-cut-list-{pull.pk}.svg"
    return HttpResponse(
        pull.cut_plan.drawing_svg,  # type: ignore[union-attr]
        content_type="image/svg+xml",
        headers={"Content-Disposition": f'attachment; filename="{name}"'},
    )


def still_to_cut(pk: int) -> dict[str, Any]:
    """The plan for every panel of an order that has no film yet."""
    workorder = get_object_or_404(order_head(), pk=pk)
    quick = quick_plan(workorder.film, [(workorder, panels_to_cut(workorder))])
    return {"workorder_pk": pk, "quick": quick}


def to_cut_again(pk: int, panel_pk: int) -> dict[str, Any]:
    """The plan for a spoilt panel, with those that wait to be cut again."""
    workorder = get_object_or_404(order_head(), pk=pk)
    panel = get_object_or_404(workorder.panels, pk=panel_pk)
    waiting = open_pull(workorder)
    codes = {panel.panel} | set(waiting.plan["spoilt"] if waiting else ())
    panels = _panels(workorder, codes)
    quick = quick_plan(
        workorder.film, [(workorder, panels)], spoilt=[row.panel for row in panels]
    )
    return {"workorder_pk": pk, "quick": quick}


def unplanned_form(request: HttpRequest, pk: int) -> UnplannedForm:
    """Film that was taken by eye."""
    named = _may_be_named(
        get_object_or_404(order_head(), pk=pk),
        roll=request.POST.get("roll", ""),
        panels=request.POST.getlist("panels"),
    )
    return UnplannedForm(request.POST, **named)


@require_POST
@allow("pull.plan")
def pull_replan(request: HttpRequest, pk: int, pull_pk: int) -> HttpResponse:
    """Plan again with the film that is there now; what was typed stays."""
    pull = get_object_or_404(Pull, pk=pull_pk, workorder=pk)
    typed = ConfirmForm(request.POST, pull=pull).typed
    do, facts = _again(pull)
    url = reverse("jobs:workorder_film", args=[pk])
    return press(
        request,
        do,
        page=workorder_film,
        then=f"{url}?{urlencode(typed)}" if typed else url,
        told=say("Planned again with the film that is there now."),
        **facts,
    )


def _again(pull: Pull) -> tuple[Any, dict[str, Any]]:
    """The action that made a plan, for what is still to be cut of it."""
    together = [row.workorder_id for row in planned_with(pull)]
    orders = list(order_head().filter(pk__in=together or [pull.workorder_id]))
    film, spoilt = orders[0].film, pull.plan["spoilt"]
    if spoilt:
        wanted = [(orders[0], _panels(orders[0], set(spoilt)))]
    else:
        wanted = [(order, panels_to_cut(order)) for order in orders]
    quick = quick_plan(film, wanted, spoilt=spoilt)
    if len(orders) > 1:
        pks = sorted(order.pk for order in orders)
        return plan_several, {"workorder_pks": pks, "quick": quick}
    do = recut_panels if spoilt else plan_the_pull
    return do, {"workorder_pk": orders[0].pk, "quick": quick}


@require_POST
@allow("pull.confirm")
def pull_confirm(request: HttpRequest, pk: int, pull_pk: int) -> HttpResponse:
    """The film was taken as planned, or as typed."""
    pull = get_object_or_404(Pull, pk=pull_pk, workorder=pk)
    form = ConfirmForm(request.POST, pull=pull)
    rest = None
    if form.is_valid():
        rest = plan_for_the_rest(pull, **ended_rolls(form.cleaned_data["taken"]))
    return press(
        request,
        confirm_pull,
        page=workorder_film,
        form=form,
        told=taken_told(rest),
        workorder_pk=pk,
        pull_pk=pull_pk,
        rest=rest,
    )
