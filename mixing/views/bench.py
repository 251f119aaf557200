"""The bench: vessels by state, batches in use, the end-of-shift list, one batch."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from mixing.actions.vessels import change_vessel, empty_vessels, mark_kind
from mixing.forms.bench import EmptyForm, ShapeForm, VesselForm
from mixing.models import Batch, StockMovement
from mixing.papers import fill_label
from mixing.queries import (
    batches_in_use,
    leftovers_go,
    solution_of,
    vessels_by_kind,
    vessels_to_empty,
)
from shopapp.access import allow
from shopapp.pressing import Bound, form_for, press


@require_GET
@allow("mix.view")
def bench(request: HttpRequest) -> HttpResponse:
    """What stands where, and what is to be rinsed."""
    return _bench_page(request, None)


def _bench_page(request: HttpRequest, bound: Bound | None) -> HttpResponse:
    to_empty = vessels_to_empty()
    form = form_for(
        lambda: EmptyForm(codes=[vessel.code for vessel, _ in to_empty]),
        bound,
        "vessels_empty",
    )
    context: dict[str, Any] = {
        "bound": bound,
        "tab": "bench",
        "kinds": vessels_by_kind(),
        "batches": batches_in_use(),
        "form": form,
        "rows": [
            (vessel, fill, form[f"left_{vessel.code}"], goes)
            for (vessel, fill), goes in zip(
                to_empty, leftovers_go(v for v, _ in to_empty), strict=True
            )
        ],
        "ticked": set(form["vessels"].value() or []),
        "now": timezone.now(),
    }
    return render(request, "mixing/bench.html", context)


@require_POST
@allow("vessel.empty")
def vessels_empty(request: HttpRequest) -> HttpResponse:
    """Vessels were emptied and rinsed."""
    codes = [vessel.code for vessel, _ in vessels_to_empty()]
    return press(
        request,
        empty_vessels,
        form=EmptyForm(request.POST, codes=codes),
        page=lambda bound: _bench_page(request, bound),
        then=reverse("mixing:bench"),
    )


@require_GET
@allow("mix.view")
def batch_detail(request: HttpRequest, pk: int) -> HttpResponse:
    """What is in the bottle, and whose it is."""
    batch = get_object_or_404(
        Batch.objects.select_related(
            "recipe_version__recipe", "reading", "water", "mixed_by"
        ),
        pk=pk,
    )
    fills = batch.fills.select_related("vessel")
    context: dict[str, Any] = {
        "batch": batch,
        "tab": "bench",
        "solution": solution_of(batch),
        "pours": batch.pours.select_related("container", "dispenser"),
        "fills": fills,
        "spilt": batch.stockmovement_set.filter(what=StockMovement.What.SPILT),
        "ties": batch.order_batches.select_related("workorder__vehicle"),
        "labels": [fill_label(fill) for fill in fills if fill.emptied_at is None],
    }
    return render(request, "mixing/batch_detail.html", context)


@require_GET
@allow("vessel.view")
def vessels(request: HttpRequest) -> HttpResponse:
    """All vessels, by kind."""
    return _vessels_page(request, None)


def _vessels_page(request: HttpRequest, bound: Bound | None) -> HttpResponse:
    context: dict[str, Any] = {
        "bound": bound,
        "tab": "vessels",
        "kinds": vessels_by_kind(),
        "form": form_for(
            lambda: VesselForm(initial={"capacity_ml": 1000.0, "usable_ml": 950.0}),
            bound,
            "vessel_add",
        ),
        "shape_form": form_for(ShapeForm, bound, "kind_mark"),
    }
    return render(request, "mixing/vessels.html", context)


@require_POST
@allow("vessel.change")
def vessel_add(request: HttpRequest) -> HttpResponse:
    """Add a vessel."""
    return press(
        request,
        change_vessel,
        form=VesselForm(request.POST),
        page=lambda bound: _vessels_page(request, bound),
        then=reverse("mixing:vessels"),
    )


@require_POST
@allow("kind.mark")
def kind_mark(request: HttpRequest) -> HttpResponse:
    """Choose the shape of a kind."""
    return press(
        request,
        mark_kind,
        form=ShapeForm(request.POST),
        page=lambda bound: _vessels_page(request, bound),
        then=reverse("mixing:vessels"),
    )
