"""The page of the shop's air and wipe."""

from __future__ import annotations

from django.forms.models import model_to_dict
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from mixing.air.forms import AirForm
from mixing.models import air_settings
from mixing.safety.height import pressure_figure
from shopapp.access import allow
from shopapp.pressing import Bound, form_for
from shopapp.say import say


@require_GET
@allow("shop.view")
def air(request: HttpRequest, *, bound: Bound | None = None) -> HttpResponse:
    """Height above the sea, and how a car is wiped."""
    known = air_settings()
    typed = model_to_dict(known, fields=list(AirForm.base_fields))
    context = {
        "bound": bound,
        "form": form_for(lambda: AirForm(initial=typed), bound, "air_change"),
        "pressure": say(
            "Air pressure here: {pressure}.",
            pressure=pressure_figure(height_m=known.height_m),
        ),
    }
    return render(request, "mixing/air/air.html", context)
