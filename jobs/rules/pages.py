"""Rules, acceptance standard and checklists under the settings."""

from __future__ import annotations

from dataclasses import asdict

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_GET

from jobs.models import Checklist
from jobs.panels.queries import acceptance_standard
from jobs.rules.forms import AcceptanceForm, ChecklistForm, RulesForm
from shopapp.access import allow
from shopapp.pressing import Bound, form_for


@require_GET
@allow("shop.view")
def rules(request: HttpRequest, *, bound: Bound | None = None) -> HttpResponse:
    """Each rule, its level, and how often it was overridden."""
    context = {"bound": bound, "form": form_for(RulesForm, bound, "rules_change")}
    return render(request, "jobs/rules/rules.html", context)


@require_GET
@allow("shop.view")
def acceptance(request: HttpRequest, *, bound: Bound | None = None) -> HttpResponse:
    """What the inspector lets pass."""
    known = asdict(acceptance_standard())
    known["watched"] = sorted(known["watched"])
    form = form_for(lambda: AcceptanceForm(initial=known), bound, "acceptance_change")
    return render(request, "jobs/rules/acceptance.html", {"bound": bound, "form": form})


@require_GET
@allow("shop.view")
def checklists(request: HttpRequest) -> HttpResponse:
    """The checklists of the stages."""
    lists = Checklist.objects.prefetch_related("versions")
    return render(request, "jobs/rules/checklists.html", {"lists": lists})


@require_GET
@allow("shop.view")
def checklist_detail(
    request: HttpRequest, pk: int, *, bound: Bound | None = None
) -> HttpResponse:
    """One checklist, item by item, and its versions."""
    checklist = get_object_or_404(Checklist, pk=pk)
    context = {
        "bound": bound,
        "checklist": checklist,
        "form": form_for(
            lambda: ChecklistForm(checklist=checklist), bound, "checklist_change"
        ),
        "versions": checklist.versions.select_related("made_by"),
    }
    return render(request, "jobs/rules/checklist_detail.html", context)


def checklist_form(request: HttpRequest, pk: int) -> ChecklistForm:
    """The next version, typed over the newest."""
    checklist = get_object_or_404(Checklist, pk=pk)
    return ChecklistForm(request.POST, checklist=checklist)
