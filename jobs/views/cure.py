"""The shop's cure table."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_POST

from jobs.actions.cure import change_cure_table
from jobs.forms.cure import CureForm
from jobs.models import CureTable
from shopapp.access import allow
from shopapp.pressing import Bound, form_for, press
from shopapp.say import say


@require_GET
@allow("shop.view")
def cure_table(request: HttpRequest) -> HttpResponse:
    """How long film settles here."""
    return _page(request, None)


def _page(request: HttpRequest, bound: Bound | None) -> HttpResponse:
    row = CureTable.objects.filter(pk=1).first() or CureTable()
    form = form_for(
        lambda: CureForm(initial=CureForm.initial_of(row)), bound, "cure_change"
    )
    return render(request, "jobs/cure_table.html", {"bound": bound, "form": form})


@require_POST
@allow("cure.change")
def cure_change(request: HttpRequest) -> HttpResponse:
    """Keep it."""
    return press(
        request,
        change_cure_table,
        form=CureForm(request.POST),
        page=lambda bound: _page(request, bound),
        then=reverse("jobs:cure_table"),
        told=say("Kept."),
    )
