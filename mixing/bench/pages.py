"""The bench: vessels by state, batches in use, the end-of-shift list, one batch."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils import timezone
from django.views.decorators.http import require_GET

from mixing.bench.forms import EmptyForm, ShapeForm, VesselForm
from mixing.bench.label_facts import fill_label
from mixing.bench.leftover_queries import leftovers_go
from mixing.bench.queries import batches_in_use, vessels_by_kind, vessels_to_empty
from mixing.models import Batch, StockMovement
from mixing.sheet.queries import solution_of
from shopapp.access import allow
from shopapp.pressing import Bound, form_for


@require_GET
@allow("mix.view")
def bench(request: HttpRequest, *, bound: Bound | None = None) -> HttpResponse:
    """What stands where, and what is to be rinsed."""
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
    return render(request, "mixing/bench/bench.html", context)


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
    return render(request, "mixing/bench/batch_detail.html", context)


@require_GET
@allow("vessel.view")
def vessels(request: HttpRequest, *, bound: Bound | None = None) -> HttpResponse:
    """All vessels, by kind."""
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
    return render(request, "mixing/bench/vessels.html", context)


def empty_form(request: HttpRequest) -> EmptyForm:
    """Which vessels are rinsed, of those that stand filled."""
    codes = [vessel.code for vessel, _ in vessels_to_empty()]
    return EmptyForm(request.POST, codes=codes)
