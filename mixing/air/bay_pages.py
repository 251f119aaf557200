"""Bays, and the local code that the safety block goes by."""

from __future__ import annotations

from typing import Any

from django.forms.models import model_to_dict
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_GET

from mixing.air.bay_forms import BayForm, LocalCodeForm
from mixing.air.hazard_queries import bay_rows
from shopapp.access import allow
from shopapp.models import Bay, the_shop
from shopapp.pressing import Bound, form_for


@require_GET
@allow("shop.view")
def bays(request: HttpRequest, *, bound: Bound | None = None) -> HttpResponse:
    """The bays with what is known of their air."""
    rows = bay_rows()
    context = {
        "bound": bound,
        "rows": rows,
        "form": form_for(
            lambda: BayForm(initial={"position": len(rows) + 1}), bound, "bay_add"
        ),
    }
    return render(request, "mixing/air/bays.html", context)


@require_GET
@allow("shop.view")
def bay_detail(
    request: HttpRequest, pk: int, *, bound: Bound | None = None
) -> HttpResponse:
    """One bay."""
    bay = get_object_or_404(Bay, pk=pk)
    known = model_to_dict(bay)
    if bay.floor_drain is not None:
        known["floor_drain"] = "yes" if bay.floor_drain else "no"
    context: dict[str, Any] = {
        "bound": bound,
        "bay": bay,
        "form": form_for(lambda: BayForm(initial=known), bound, "bay_change"),
    }
    return render(request, "mixing/air/bay_detail.html", context)


@require_GET
@allow("shop.view")
def local_code(request: HttpRequest, *, bound: Bound | None = None) -> HttpResponse:
    """The vapour limit, the rules, the authorities."""
    known = model_to_dict(the_shop(), fields=list(LocalCodeForm.base_fields))
    form = form_for(lambda: LocalCodeForm(initial=known), bound, "local_code_change")
    return render(request, "mixing/air/local_code.html", {"bound": bound, "form": form})
