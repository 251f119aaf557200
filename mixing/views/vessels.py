"""One vessel: what is in it now, emptied, unknown, changed, retired."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from mixing.actions.vessels import (
    change_vessel,
    empty_vessels,
    find_unknown,
    retire_vessel,
)
from mixing.forms.bench import EmptyForm, VesselForm
from mixing.models import Vessel
from mixing.papers import kind_label
from mixing.queries import in_vessel, leftovers_go
from shopapp.access import allow
from shopapp.pressing import Bound, form_for, press


@require_GET
@allow("vessel.view")
def vessel_detail(request: HttpRequest, code: str) -> HttpResponse:
    """One vessel: what is in it now, its label, what it held."""
    return _vessel_page(request, code, None)


def _vessel_page(request: HttpRequest, code: str, bound: Bound | None) -> HttpResponse:
    vessel = get_object_or_404(Vessel, code__iexact=code)
    initial = {name: getattr(vessel, name) for name in VesselForm.base_fields}
    context: dict[str, Any] = {
        "bound": bound,
        "tab": "vessels",
        "vessel": vessel,
        "label": kind_label(vessel),
        "now": in_vessel(vessel, at=timezone.now()),
        "goes": leftovers_go([vessel])[0],
        "fills": vessel.fills.select_related("batch__mixed_by").order_by("-pk")[:20],
        "form": form_for(lambda: VesselForm(initial=initial), bound, "vessel_change"),
    }
    return render(request, "mixing/vessel_detail.html", context)


@require_POST
@allow("vessel.change")
def vessel_change(request: HttpRequest, code: str) -> HttpResponse:
    """Correct a vessel's form and size."""
    vessel = get_object_or_404(Vessel, code__iexact=code)
    return press(
        request,
        change_vessel,
        form=VesselForm(request.POST),
        page=lambda bound: _vessel_page(request, code, bound),
        then=reverse("mixing:vessels"),
        vessel_pk=vessel.pk,
    )


@require_POST
@allow("vessel.retire")
def vessel_retire(request: HttpRequest, code: str) -> HttpResponse:
    """Take a vessel out of use."""
    vessel = get_object_or_404(Vessel, code__iexact=code)
    return press(
        request,
        retire_vessel,
        page=lambda bound: _vessel_page(request, code, bound),
        then=reverse("mixing:vessels"),
        vessel_pk=vessel.pk,
    )


@require_POST
@allow("vessel.empty")
def vessel_rinsed(request: HttpRequest, code: str) -> HttpResponse:
    """This vessel was emptied and rinsed."""
    vessel = get_object_or_404(Vessel, code__iexact=code)
    return press(
        request,
        empty_vessels,
        form=EmptyForm(
            {**request.POST.dict(), "vessels": [vessel.code]}, codes=[vessel.code]
        ),
        page=lambda bound: _vessel_page(request, code, bound),
        then=reverse("mixing:vessel_detail", args=[vessel.code]),
    )


@require_POST
@allow("vessel.unknown")
def vessel_unknown(request: HttpRequest, code: str) -> HttpResponse:
    """Nobody knows what is in this vessel."""
    vessel = get_object_or_404(Vessel, code__iexact=code)
    return press(
        request,
        find_unknown,
        page=lambda bound: _vessel_page(request, code, bound),
        then=reverse("mixing:vessel_detail", args=[vessel.code]),
        vessel_pk=vessel.pk,
    )
