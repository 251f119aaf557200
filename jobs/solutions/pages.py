"""Mixing for an order: the sheet, and choosing vessels."""

from __future__ import annotations

from inspect import unwrap
from typing import Any

from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from jobs.models import WorkOrder
from jobs.panels.laying_queries import laying_now
from jobs.panels.queries import reading_now
from jobs.solutions.bottle_queries import (
    held_vessels,
    offered_batches,
    other_vessels,
    own_offers,
    tie_of,
    vessel_concern,
    vessels_to_fill_up,
)
from jobs.solutions.forms import ChooseForm, ScanForm, TopUpForm
from jobs.solutions.queries import mix_page, proposed_codes
from jobs.stages.queries import read_readings
from jobs.workorders.queries import order_head
from jobs.workorders.row_pages import known_kind
from mixing.bench.queries import clean_vessels, unopened_needed
from mixing.models import Vessel
from mixing.sheet.input_queries import last_water_test, water_note_of
from shopapp.access import allow
from shopapp.frame import Answer
from shopapp.pressing import Bound, form_for
from shopapp.say import Say


@require_GET
@allow("mix.view")
def workorder_mixing(
    request: HttpRequest, pk: int, *, bound: Bound | None = None
) -> HttpResponse:
    """The order's mixing sheet."""
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
    return render(request, "jobs/solutions/workorder_mixing.html", context)


@require_GET
@allow("mix.plan")
def workorder_mix(
    request: HttpRequest, pk: int, kind: str, *, bound: Bound | None = None
) -> HttpResponse:
    """Choose the vessels of one solution: by their codes, or by a photo."""
    known_kind(kind)
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
    return render(request, "jobs/solutions/workorder_mix.html", context)


def _scan_form(order: WorkOrder, kind: str, *sent: Any) -> ScanForm:
    def refuses(vessel: Vessel) -> Say | None:
        concern = vessel_concern(vessel, kind=kind, workorder=order)
        return concern.sentence if concern else None

    return ScanForm(*sent, refuses=refuses)


@require_POST
@allow("mix.plan")
def workorder_mix_scan(request: HttpRequest, pk: int, kind: str) -> HttpResponse:
    """Read a vessel's code off a photo, or as it was typed, and choose it."""
    known_kind(kind)
    order = get_object_or_404(order_head(), pk=pk)
    form = _scan_form(order, kind, request.POST, request.FILES)
    if form.is_valid():
        chosen = {*request.POST.getlist("vessel"), form.cleaned_data["vessel"].code}
        query = "&".join(f"vessel={code}" for code in sorted(chosen))
        url = reverse("jobs:workorder_mix", args=[pk, kind])
        return HttpResponseRedirect(f"{url}?{query}", status=303)
    bound = Bound(
        url_name="workorder_mix_scan",
        subject={"pk": pk, "kind": kind},
        form=form,
        reasons=(),
    )
    page: HttpResponse = unwrap(workorder_mix)(request, pk, kind, bound=bound)
    page.status_code = 422
    return page


def top_up_form(request: HttpRequest, pk: int) -> TopUpForm:
    """From one of the vessels that hold something for this order."""
    order = get_object_or_404(WorkOrder, pk=pk)
    return TopUpForm(request.POST, held=held_vessels(order))


def choose_form(request: HttpRequest, kind: str) -> ChooseForm:
    """The vessels, of those that may be filled now."""
    return ChooseForm(
        request.POST,
        clean=clean_vessels(kind),
        fill_ups=vessels_to_fill_up(kind, at=timezone.now()),
    )


def steps_url(pk: int, kind: str, answer: Answer) -> str:
    """The first pour by the sheet that was just kept."""
    return reverse("jobs:workorder_mix_steps", args=[pk, kind, answer["version"]])
