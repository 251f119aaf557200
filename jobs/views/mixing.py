"""Mixing for an order: the sheet, choosing vessels, the guided steps, the record."""

from __future__ import annotations

from typing import Any

from django.http import Http404, HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from jobs.actions.mixing import (
    make_sheet,
    print_sheet,
    record_mix,
    skip_solution,
    take_batch,
)
from jobs.actions.topping_up import top_up
from jobs.forms.mixing import (
    BecauseForm,
    ChooseForm,
    RecordForm,
    ScanForm,
    TakeForm,
    TopUpForm,
    WaterAnswerForm,
)
from jobs.forms.pouring_from import PourFromForm
from jobs.models import OrderSheet, WorkOrder
from jobs.queries.bottles import (
    held_vessels,
    offered_batches,
    other_vessels,
    own_offers,
    room_in,
    tie_of,
    vessel_concern,
    vessels_to_fill_up,
)
from jobs.queries.guided_mix import all_poured, other_containers, walk
from jobs.queries.laying import laying_now
from jobs.queries.mixes import (
    codes_of,
    mix_page,
    proposed_codes,
    solution_in,
)
from jobs.queries.panels import reading_now
from jobs.queries.stages import read_readings
from jobs.queries.workorders import order_head
from mixing.actions.stock import keep_water_test
from mixing.models import Kind, Vessel
from mixing.queries import (
    clean_vessels,
    last_water_test,
    sheet_of,
    unopened_needed,
    water_note_of,
)
from shopapp.access import allow
from shopapp.frame import Answer
from shopapp.htmx import page_or_fragment
from shopapp.models import the_shop
from shopapp.pressing import Bound, form_for, press
from shopapp.say import Say


@require_GET
@allow("mix.view")
def workorder_mixing(request: HttpRequest, pk: int) -> HttpResponse:
    """The order's mixing sheet."""
    return _sheet_page(request, pk, None)


def _sheet_page(request: HttpRequest, pk: int, bound: Bound | None) -> HttpResponse:
    order = get_object_or_404(order_head(), pk=pk)
    read_readings(order)
    held = held_vessels(order)
    reading = reading_now(order, now=timezone.now())
    context: dict[str, Any] = {
        "order": order,
        "tab": "mixing",
        "bound": bound,
        "mix": mix_page(order, at=timezone.now()),
        "laying": laying_now(order, at=timezone.now()),
        "done": tie_of(order, request.GET.get("done")),
        "offers": own_offers(order, at=timezone.now()),
        "held": held,
        "reading": reading,
        "again": reading.again,
        "water_asked": last_water_test() is None and not order.is_closed,
        "water_note": water_note_of(on=timezone.localdate()),
        "top_up_form": form_for(
            lambda: TopUpForm(held=held), bound, "workorder_mix_top_up"
        ),
    }
    return render(request, "jobs/workorder_mixing.html", context)


def _press(
    request: HttpRequest, pk: int, do: Any, *, form: Any = None, **facts: Any
) -> HttpResponse:
    get_object_or_404(order_head(), pk=pk)
    return press(
        request,
        do,
        form=form,
        page=lambda bound: _sheet_page(request, pk, bound),
        then=reverse("jobs:workorder_mixing", args=[pk]),
        workorder_pk=pk,
        **facts,
    )


@require_POST
@allow("mix.plan")
def workorder_mix_plan(request: HttpRequest, pk: int) -> HttpResponse:
    """Keep a new sheet as things stand."""
    return _press(request, pk, make_sheet)


@require_POST
@allow("mix.print")
def workorder_mix_print(request: HttpRequest, pk: int) -> HttpResponse:
    """Keep the sheet as things stand, and print it."""
    get_object_or_404(order_head(), pk=pk)
    return press(
        request,
        print_sheet,
        page=lambda bound: _sheet_page(request, pk, bound),
        then=lambda answer: reverse("jobs:paper_detail", args=[answer["pk"]]),
        workorder_pk=pk,
    )


@require_POST
@allow("mix.skip")
def workorder_mix_skip(request: HttpRequest, pk: int, kind: str) -> HttpResponse:
    """This round needs no such solution."""
    return _press(request, pk, skip_solution, kind=known_kind(kind))


@require_POST
@allow("water.test")
def workorder_mix_water(request: HttpRequest, pk: int) -> HttpResponse:
    """Say once which water is mixed with."""
    get_object_or_404(order_head(), pk=pk)
    return press(
        request,
        keep_water_test,
        form=WaterAnswerForm(request.POST),
        page=lambda bound: _sheet_page(request, pk, bound),
        then=reverse("jobs:workorder_mixing", args=[pk]),
    )


@require_POST
@allow("mix.take")
def workorder_mix_take(request: HttpRequest, pk: int) -> HttpResponse:
    """Use a batch that is there already for this order too."""
    return _press(request, pk, take_batch, form=TakeForm(request.POST))


@require_POST
@allow("mix.top_up")
def workorder_mix_top_up(request: HttpRequest, pk: int) -> HttpResponse:
    """Pour from one vessel of a batch into another."""
    order = get_object_or_404(order_head(), pk=pk)
    form = TopUpForm(request.POST, held=held_vessels(order))
    return _press(request, pk, top_up, form=form)


def known_kind(kind: str) -> str:
    """A kind of solution, or 404."""
    if kind not in Kind.values:
        raise Http404
    return kind


@require_GET
@allow("mix.plan")
def workorder_mix(request: HttpRequest, pk: int, kind: str) -> HttpResponse:
    """Choose the vessels of one solution: by their codes, or by a photo."""
    return choose_page(request, pk, known_kind(kind), None)


def choose_page(
    request: HttpRequest, pk: int, kind: str, bound: Bound | None
) -> HttpResponse:
    """The page that asks for the vessels."""
    order = get_object_or_404(order_head(), pk=pk)
    read_readings(order)
    now = timezone.now()
    clean = clean_vessels(kind)
    asked = request.GET.getlist("vessel")
    page = mix_page(order, at=now)

    def choose() -> ChooseForm:
        codes = asked or proposed_codes(page.request, kind=kind)
        return ChooseForm(
            initial={"vessels": sorted(codes)},
            clean=clean,
            fill_ups=vessels_to_fill_up(kind, at=now),
        )

    context: dict[str, Any] = {
        "order": order,
        "tab": "mixing",
        "bound": bound,
        "kind": kind,
        "card": next((card for card in page.cards if card.kind == kind), None),
        "clean": clean,
        "others": other_vessels(kind),
        "unopened": unopened_needed(kind),
        "offers": offered_batches(order, kind=kind, at=now),
        "done": tie_of(order, request.GET.get("done")),
        "asked": asked,
        "form": form_for(choose, bound, "workorder_mix_start"),
        "scan_form": form_for(
            lambda: _scan_form(order, kind), bound, "workorder_mix_scan"
        ),
    }
    return render(request, "jobs/workorder_mix.html", context)


def _scan_form(order: WorkOrder, kind: str, *sent: Any) -> ScanForm:
    def refuses(vessel: Vessel) -> Say | None:
        concern = vessel_concern(vessel, kind=kind, workorder=order)
        return concern.sentence if concern else None

    return ScanForm(*sent, refuses=refuses)


@require_POST
@allow("mix.plan")
def workorder_mix_scan(request: HttpRequest, pk: int, kind: str) -> HttpResponse:
    """Read a vessel's code off a photo, or as it was typed, and choose it."""
    order = get_object_or_404(order_head(), pk=pk)
    form = _scan_form(order, known_kind(kind), request.POST, request.FILES)
    if form.is_valid():
        chosen = {*request.POST.getlist("vessel"), form.cleaned_data["vessel"].code}
        query = "&".join(f"vessel={code}" for code in sorted(chosen))
        url = reverse("jobs:workorder_mix", args=[pk, known_kind(kind)])
        return HttpResponseRedirect(f"{url}?{query}", status=303)
    bound = Bound(
        url_name="workorder_mix_scan",
        subject={"pk": pk, "kind": kind},
        form=form,
        reasons=(),
    )
    page = choose_page(request, pk, known_kind(kind), bound)
    page.status_code = 422
    return page


@require_POST
@allow("mix.plan")
def workorder_mix_start(request: HttpRequest, pk: int, kind: str) -> HttpResponse:
    """Begin: keep the sheet for just these vessels."""
    get_object_or_404(order_head(), pk=pk)
    return press(
        request,
        make_sheet,
        form=ChooseForm(
            request.POST,
            clean=clean_vessels(known_kind(kind)),
            fill_ups=vessels_to_fill_up(kind, at=timezone.now()),
        ),
        page=lambda bound: choose_page(request, pk, kind, bound),
        then=lambda answer: reverse(
            "jobs:workorder_mix_steps", args=[pk, kind, answer["version"]]
        ),
        workorder_pk=pk,
        kind=kind,
    )


@require_GET
@allow("mix.record")
def workorder_mix_steps(
    request: HttpRequest, pk: int, kind: str, version: int
) -> HttpResponse:
    """One pour at a time; the address carries what was answered so far."""
    return steps_page(request, pk, kind, version, None)


def steps_page(
    request: HttpRequest, pk: int, kind: str, version: int, bound: Bound | None
) -> HttpResponse:
    """The page of one pour after the other."""
    order = get_object_or_404(order_head(), pk=pk)
    read_readings(order)
    row, sheet, rooms = _planned(order, known_kind(kind), version)
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
        "jobs/workorder_mix_steps.html",
        "jobs/_workorder_mix_steps.html",
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


@require_POST
@allow("mix.record")
def workorder_mix_record(
    request: HttpRequest, pk: int, kind: str, version: int
) -> HttpResponse:
    """Keep the batch; lead on to the next solution that waits."""
    order = get_object_or_404(order_head(), pk=pk)
    _row, sheet, rooms = _planned(order, known_kind(kind), version)

    def then(answer: Answer) -> str:
        card = mix_page(order, at=timezone.now()).next_card
        url = (
            reverse("jobs:workorder_mix", args=[pk, card.kind])
            if card
            else reverse("jobs:workorder_mixing", args=[pk])
        )
        return f"{url}?done={answer['pk']}"

    return press(
        request,
        record_mix,
        form=RecordForm(request.POST, sheet=sheet, kind=kind, rooms_ml=rooms),
        page=lambda bound: steps_page(request, pk, kind, version, bound),
        then=then,
        workorder_pk=pk,
        version=version,
        kind=kind,
    )
