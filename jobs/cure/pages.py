"""The shop's cure table."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from jobs.cure.forms import CureForm
from jobs.models import CureTable
from shopapp.access import allow
from shopapp.pressing import Bound, form_for


@require_GET
@allow("shop.view")
def cure_table(request: HttpRequest, *, bound: Bound | None = None) -> HttpResponse:
    """How long film settles here."""
    row = CureTable.objects.filter(pk=1).first() or CureTable()
    form = form_for(
        lambda: CureForm(initial=CureForm.initial_of(row)), bound, "cure_change"
    )
    return render(request, "jobs/cure/cure_table.html", {"bound": bound, "form": form})
