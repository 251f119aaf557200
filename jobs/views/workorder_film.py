"""The film page of an order: blanks, plan, cut list; take it; cut again."""

from __future__ import annotations

from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils.http import urlencode
from django.views.decorators.http import require_GET, require_POST

from jobs.actions.film import return_film
from jobs.actions.pull_taken import confirm_pull
from jobs.actions.pulls import (
    drop_pull,
    plan_several,
    plan_the_pull,
    recut_panels,
)
from jobs.forms.pulls import ConfirmForm, ReturnForm
from jobs.models import OrderPanel, Pull, WorkOrder
from jobs.pull_plan import no_film
from jobs.queries.pulls import (
    label_papers,
    money_of,
    offcuts_gone,
    open_pull,
    panels_cut,
    panels_to_cut,
    planned_with,
    pull_job,
    pull_shown,
    quick_plan,
)
from jobs.queries.workorders import order_head
from shopapp.access import allow, may
from shopapp.htmx import page_or_fragment
from shopapp.pressing import Bound, form_for, press
from shopapp.say import say


@require_GET
@allow("workorder.view")
def workorder_film(request: HttpRequest, pk: int) -> HttpResponse:
    """The blanks, the plan and what was taken."""
    return _page(request, pk, None)


def _page(request: HttpRequest, pk: int, bound: Bound | None) -> HttpResponse:
    workorder = get_object_or_404(order_head(), pk=pk)
    context: dict[str, Any] = {
        "order": workorder,
        "tab": "film",
        "bound": bound,
        "job": pull_job(workorder.film, [(workorder, panels_to_cut(workorder))]),
        "no_film": no_film(film=workorder.film.name),
        "cut": _panels(workorder, panels_cut(workorder)),
        "return_form": form_for(ReturnForm, bound, "film_return"),
        **_pulls(
            workorder,
            bound,
            typed=request.GET.dict(),
            sees_money=may(request.user, "film.cost"),
        ),
    }
    return page_or_fragment(
        request, "jobs/workorder_film.html", "jobs/_workorder_film.html", context
    )


def _pulls(
    workorder: WorkOrder,
    bound: Bound | None,
    *,
    typed: dict[str, str],
    sees_money: bool,
) -> dict[str, Any]:
    """The plan that waits, with its form, and what was taken before."""
    rows = workorder.pulls.filter(state=Pull.State.TAKEN)
    taken = [pull_shown(pull) for pull in rows]
    labels = label_papers(pull.row for pull in taken)
    found: dict[str, Any] = {
        "taken": [
            (pull, money_of(pull) if sees_money else None, labels.get(pull.row.pk))
            for pull in taken
        ]
    }
    if waiting := open_pull(workorder):
        planned = pull_shown(waiting)
        found["planned"] = planned
        found["money"] = money_of(planned) if sees_money else None
        found["confirm_form"] = form_for(
            lambda: ConfirmForm(pull=waiting, typed=typed), bound, "pull_confirm"
        )
        found["gone"] = offcuts_gone(planned)
    return found


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
    return _page(request, pk, None)


@require_GET
@allow("workorder.view")
def pull_drawing(request: HttpRequest, pk: int, pull_pk: int) -> HttpResponse:
    """The cut list's drawing as an SVG file."""
    pull = get_object_or_404(Pull, pk=pull_pk, workorder=pk)
    name = f"{pull.workorder.number}-cut-list-{pull.pk}.svg"
    return HttpResponse(
        pull.drawing_svg,
        content_type="image/svg+xml",
        headers={"Content-Disposition": f'attachment; filename="{name}"'},
    )


def _press(request: HttpRequest, pk: int, do: Any, /, **facts: Any) -> HttpResponse:
    return press(
        request,
        do,
        page=lambda bound: _page(request, pk, bound),
        then=reverse("jobs:workorder_film", args=[pk]),
        workorder_pk=pk,
        **facts,
    )


@require_POST
@allow("pull.plan")
def pull_plan(request: HttpRequest, pk: int) -> HttpResponse:
    """Plan the pull for every panel that has no film yet."""
    workorder = get_object_or_404(order_head(), pk=pk)
    quick = quick_plan(workorder.film, [(workorder, panels_to_cut(workorder))])
    return _press(request, pk, plan_the_pull, quick=quick)


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
        page=lambda bound: _page(request, pk, bound),
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
@allow("pull.recut")
def pull_recut(request: HttpRequest, pk: int, panel_pk: int) -> HttpResponse:
    """A panel is spoilt: plan it anew, with those that wait to be cut again."""
    workorder = get_object_or_404(order_head(), pk=pk)
    panel = workorder.panels.filter(pk=panel_pk).first()
    if panel is None:
        raise Http404
    waiting = open_pull(workorder)
    codes = {panel.panel} | set(waiting.plan["spoilt"] if waiting else ())
    panels = _panels(workorder, codes)
    quick = quick_plan(
        workorder.film, [(workorder, panels)], spoilt=[row.panel for row in panels]
    )
    return _press(request, pk, recut_panels, quick=quick)


@require_POST
@allow("pull.confirm")
def pull_confirm(request: HttpRequest, pk: int, pull_pk: int) -> HttpResponse:
    """The film was taken as planned, or as typed."""
    pull = get_object_or_404(Pull, pk=pull_pk, workorder=pk)
    form = ConfirmForm(request.POST, pull=pull)
    told = say("Film taken. The rolls are up to date.")
    return _press(request, pk, confirm_pull, pull_pk=pull_pk, form=form, told=told)


@require_POST
@allow("pull.drop")
def pull_drop(request: HttpRequest, pk: int, pull_pk: int) -> HttpResponse:
    """Put the plan aside."""
    return _press(request, pk, drop_pull, pull_pk=pull_pk)


@require_POST
@allow("film.return")
def film_return(request: HttpRequest, pk: int) -> HttpResponse:
    """Film is wound back on its roll."""
    return _press(request, pk, return_film, form=ReturnForm(request.POST))
