"""The water that is mixed with, as it was tested."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_GET

from mixing.bench.forms import WaterForm
from mixing.models import WaterTest
from mixing.sheet.input_queries import water_bands, water_note_of
from shopapp.access import allow
from shopapp.pressing import Bound, form_for


@require_GET
@allow("mix.view")
def water(request: HttpRequest, *, bound: Bound | None = None) -> HttpResponse:
    """Tests of the water."""
    context: dict[str, Any] = {
        "bound": bound,
        "tab": "water",
        "tests": WaterTest.objects.select_related("by")[:50],
        "note": water_note_of(on=timezone.localdate()),
        "hardness_bands": water_bands("hardness"),
        "solids_bands": water_bands("solids"),
        "form": form_for(
            lambda: WaterForm(initial={"tested_on": timezone.localdate()}),
            bound,
            "water_test",
        ),
    }
    return render(request, "mixing/shelf/water.html", context)
