"""The menu of other work, for the manager."""

from __future__ import annotations

from typing import Any

from django.forms.models import model_to_dict
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from jobs.additions.forms import MenuWorkForm
from jobs.models import MenuWork
from shopapp.access import allow
from shopapp.pressing import Bound, form_for


@require_GET
@allow("menuwork.change")
def menu_of_work(request: HttpRequest, *, bound: Bound | None = None) -> HttpResponse:
    """Each row with its form, and one for a new row."""
    context = {
        "bound": bound,
        "rows": [(row, _form(row, bound)) for row in MenuWork.objects.all()],
        "form": form_for(
            lambda: MenuWorkForm(initial={"is_offered": True}), bound, "menu_work_add"
        ),
    }
    return render(request, "jobs/additions/menu_of_work.html", context)


def _form(row: MenuWork, bound: Bound | None) -> Any:
    known = model_to_dict(row)
    return form_for(
        lambda: MenuWorkForm(initial=known), bound, "menu_work_change", pk=row.pk
    )
