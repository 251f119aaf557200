"""One vessel: what is in it now, emptied, unknown, changed, retired."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils import timezone
from django.views.decorators.http import require_GET

from mixing.bench.forms import EmptyForm, VesselForm
from mixing.bench.label_facts import kind_label
from mixing.bench.leftover_queries import leftovers_go
from mixing.bench.queries import in_vessel
from mixing.models import Vessel
from shopapp.access import allow
from shopapp.pressing import Bound, form_for


@require_GET
@allow("vessel.view")
def vessel_detail(
    request: HttpRequest, code: str, *, bound: Bound | None = None
) -> HttpResponse:
    """One vessel: what is in it now, its label, what it held."""
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
    return render(request, "mixing/bench/vessel_detail.html", context)


def rinsed_form(request: HttpRequest, code: str) -> EmptyForm:
    """What was left in this one vessel."""
    vessel = get_object_or_404(Vessel, code__iexact=code)
    typed = {**request.POST.dict(), "vessels": [vessel.code]}
    return EmptyForm(typed, codes=[vessel.code])
