"""The settings for laying: solutions, days of use, limits of the panel."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_POST

from jobs.actions.laying import change_laying
from jobs.forms.laying import LayingForm
from mixing.queries import kinds_mixed, laying_settings
from shopapp.access import allow
from shopapp.pressing import Bound, form_for, press
from shopapp.say import say


@require_GET
@allow("shop.view")
def laying(request: HttpRequest) -> HttpResponse:
    """What is mixed here, how long it keeps, how warm a panel may be."""
    return _page(request, None)


def _page(request: HttpRequest, bound: Bound | None) -> HttpResponse:
    form = form_for(lambda: LayingForm(initial=_known()), bound, "laying_change")
    return render(request, "jobs/laying.html", {"bound": bound, "form": form})


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


@require_POST
@allow("laying.change")
def laying_change(request: HttpRequest) -> HttpResponse:
    """Keep it."""
    return press(
        request,
        change_laying,
        form=LayingForm(request.POST),
        page=lambda bound: _page(request, bound),
        then=reverse("jobs:laying"),
        told=say("Kept. It holds for sheets and bottles from now on."),
    )
