"""The settings for laying: solutions, days of use, limits of the panel."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from jobs.solutions.laying_forms import LayingForm
from mixing.laying.queries import laying_settings
from mixing.sheet.queries import kinds_mixed
from shopapp.access import allow
from shopapp.pressing import Bound, form_for


@require_GET
@allow("shop.view")
def laying(request: HttpRequest, *, bound: Bound | None = None) -> HttpResponse:
    """What is mixed here, how long it keeps, how warm a panel may be."""
    form = form_for(lambda: LayingForm(initial=_known()), bound, "laying_change")
    return render(request, "jobs/solutions/laying.html", {"bound": bound, "form": form})


def _known() -> dict[str, Any]:
    """What is set now."""
    now = laying_settings()
    return {
        "kinds": kinds_mixed(),
        **{f"{kind.value}_days": days for kind, days in now.days.items()},
        "cold_c": now.limits.cold_c,
        "hot_c": now.limits.hot_c,
        "too_hot_c": now.limits.too_hot_c,
    }
