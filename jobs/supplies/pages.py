"""What runs low: said by one tap, and the list of it."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from jobs.supplies.forms import SupplyForm
from jobs.supplies.queries import enough_of, low_supplies
from shopapp.access import allow
from shopapp.pressing import Bound, form_for


@require_GET
@allow("supply.view")
def supplies(request: HttpRequest, *, bound: Bound | None = None) -> HttpResponse:
    """What runs low, and a button for each other thing."""
    context = {
        "bound": bound,
        "low": low_supplies(),
        "enough": enough_of(),
        "form": form_for(SupplyForm, bound, "supply_add"),
    }
    return render(request, "jobs/supplies/supplies.html", context)
