"""What amounts are read from."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from mixing.bench.forms import CalibrateForm, DispenserForm, WeighForm
from mixing.models import Dispenser
from shopapp.access import allow
from shopapp.pressing import Bound, form_for


@require_GET
@allow("mix.view")
def dispensers(request: HttpRequest, *, bound: Bound | None = None) -> HttpResponse:
    """What amounts are read from."""
    rows = [
        (
            row,
            form_for(
                lambda row=row: DispenserForm(initial=dict(vars(row))),
                bound,
                "dispenser_change",
                pk=row.pk,
            ),
            form_for(CalibrateForm, bound, "dispenser_calibrate", pk=row.pk),
            form_for(
                lambda: WeighForm(initial={"drops": 20}),
                bound,
                "dispenser_weigh",
                pk=row.pk,
            ),
        )
        for row in Dispenser.objects.all()
    ]
    context: dict[str, Any] = {
        "bound": bound,
        "tab": "dispensers",
        "rows": rows,
        "form": form_for(
            lambda: DispenserForm(initial={"error_ml": 0.0}), bound, "dispenser_add"
        ),
    }
    return render(request, "mixing/dispensers/dispensers.html", context)
