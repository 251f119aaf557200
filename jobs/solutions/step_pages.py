"""The guided steps of a mix: one pour after the other, then the record."""

from __future__ import annotations

from typing import Any
from urllib.parse import urlencode

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET

from jobs.models import OrderSheet, WorkOrder
from jobs.solutions.bottle_queries import room_in
from jobs.solutions.forms import BecauseForm, RecordForm
from jobs.solutions.guided_queries import all_poured, other_containers, walk
from jobs.solutions.pages import steps_url
from jobs.solutions.pouring_forms import PourFromForm
from jobs.solutions.queries import codes_of, mix_page, solution_in
from jobs.stages.queries import read_readings
from jobs.workorders.queries import order_head
from mixing.bench.queries import containers_to_pour
from mixing.sheet.queries import sheet_of
from shopapp.access import allow
from shopapp.frame import Answer
from shopapp.htmx import page_or_fragment
from shopapp.models import the_shop
from shopapp.pressing import Bound, form_for


@require_GET
@allow("mix.record")
def workorder_mix_steps(
    request: HttpRequest,
    pk: int,
    kind: str,
    version: int,
    *,
    bound: Bound | None = None,
) -> HttpResponse:
    """One pour at a time; the address carries what was answered so far."""
    order = get_object_or_404(order_head(), pk=pk)
    read_readings(order)
    row, sheet, rooms = _planned(order, kind, version)
    answers = (request.POST if bound else request.GET).getlist("p")
    solution = solution_in(sheet, kind)
    if "all" in request.GET:
        answers = all_poured(solution, answers)
    way = walk(
        sheet,
        kind,
        answers,
        rooms_ml=rooms,
        system=the_shop().system,
    )
    context: dict[str, Any] = {
        "order": order,
        "tab": "mixing",
        "kind": kind,
        "row": row,
        "solution": solution,
        "water": sheet.water,
        "walk": way,
        "bound": bound,
        "form": form_for(BecauseForm, bound, "workorder_mix_record"),
        "from_form": form_for(
            lambda: PourFromForm(containers=[]), bound, "workorder_mix_from"
        ),
        "containers": other_containers(kind, way),
    }
    page = page_or_fragment(
        request,
        "jobs/solutions/workorder_mix_steps.html",
        "jobs/solutions/_workorder_mix_steps.html",
        context,
    )
    if way.problem:
        page.status_code = 422
    return page


def _planned(
    order: WorkOrder, kind: str, version: int
) -> tuple[OrderSheet, Any, dict[str, float]]:
    row = get_object_or_404(order.sheets, version=version)
    sheet = sheet_of(row.facts)
    if kind not in sheet.by_kind:
        raise Http404
    return row, sheet, room_in(sheet, codes_of(sheet, kind))


def record_form(request: HttpRequest, pk: int, kind: str, version: int) -> RecordForm:
    """What was poured, by the sheet that was followed."""
    order = get_object_or_404(order_head(), pk=pk)
    _row, sheet, rooms = _planned(order, kind, version)
    return RecordForm(request.POST, sheet=sheet, kind=kind, rooms_ml=rooms)


def next_mix_url(pk: int, answer: Answer) -> str:
    """On to the next solution that waits."""
    order = get_object_or_404(order_head(), pk=pk)
    card = mix_page(order, at=timezone.now()).next_card
    url = (
        reverse("jobs:workorder_mix", args=[pk, card.kind])
        if card
        else reverse("jobs:workorder_mixing", args=[pk])
    )
    return f"{url}?done={answer['pk']}"


def pour_from_form(request: HttpRequest, kind: str) -> PourFromForm:
    """Another container of the substance that is poured now."""
    containers = containers_to_pour(kind, request.POST.get("substance", ""))
    return PourFromForm(request.POST, request.FILES, containers=containers)


def same_step_url(request: HttpRequest, pk: int, kind: str, answer: Answer) -> str:
    """The same pour, by a sheet of the other container's strength."""
    done = urlencode([("p", text) for text in request.POST.getlist("p")])
    return steps_url(pk, kind, answer) + (done and f"?{done}")
