"""Rules, acceptance standard and checklists under the settings."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_POST

from jobs.actions.rules import (
    change_acceptance,
    change_checklist,
    change_rules,
    enforce_rules,
)
from jobs.forms.rules import AcceptanceForm, ChecklistForm, RulesForm
from jobs.models import Checklist
from jobs.queries.inspection import acceptance_standard
from shopapp.access import allow
from shopapp.pressing import Bound, form_for, press
from shopapp.say import say


@require_GET
@allow("shop.view")
def rules(request: HttpRequest) -> HttpResponse:
    """Each rule, its level, and how often it was overridden."""
    return _rules_page(request, None)


def _rules_page(request: HttpRequest, bound: Bound | None) -> HttpResponse:
    context = {"bound": bound, "form": form_for(RulesForm, bound, "rules_change")}
    return render(request, "jobs/rules.html", context)


@require_POST
@allow("rule.change")
def rules_change(request: HttpRequest) -> HttpResponse:
    """Keep the levels."""
    return _press_rules(request, change_rules, RulesForm(request.POST))


@require_POST
@allow("rule.enforce")
def rules_enforce(request: HttpRequest) -> HttpResponse:
    """Set every rule as it is meant once the shop enforces them."""
    return _press_rules(request, enforce_rules, None)


def _press_rules(request: HttpRequest, do: Any, form: Any) -> HttpResponse:
    return press(
        request,
        do,
        form=form,
        page=lambda bound: _rules_page(request, bound),
        then=reverse("jobs:rules"),
        told=say("Kept."),
    )


@require_GET
@allow("shop.view")
def acceptance(request: HttpRequest) -> HttpResponse:
    """What the inspector lets pass."""
    return _acceptance_page(request, None)


def _acceptance_page(request: HttpRequest, bound: Bound | None) -> HttpResponse:
    known = asdict(acceptance_standard())
    known["watched"] = sorted(known["watched"])
    form = form_for(lambda: AcceptanceForm(initial=known), bound, "acceptance_change")
    return render(request, "jobs/acceptance.html", {"bound": bound, "form": form})


@require_POST
@allow("acceptance.change")
def acceptance_change(request: HttpRequest) -> HttpResponse:
    """Keep it."""
    return press(
        request,
        change_acceptance,
        form=AcceptanceForm(request.POST),
        page=lambda bound: _acceptance_page(request, bound),
        then=reverse("jobs:acceptance"),
        told=say("Kept. It holds for what is found from now on."),
    )


@require_GET
@allow("shop.view")
def checklists(request: HttpRequest) -> HttpResponse:
    """The checklists of the stages."""
    lists = Checklist.objects.prefetch_related("versions")
    return render(request, "jobs/checklists.html", {"lists": lists})


@require_GET
@allow("shop.view")
def checklist_detail(request: HttpRequest, pk: int) -> HttpResponse:
    """One checklist, item by item, and its versions."""
    return _checklist_page(request, pk, None)


def _checklist_page(request: HttpRequest, pk: int, bound: Bound | None) -> HttpResponse:
    checklist = get_object_or_404(Checklist, pk=pk)
    context = {
        "bound": bound,
        "checklist": checklist,
        "form": form_for(
            lambda: ChecklistForm(checklist=checklist), bound, "checklist_change"
        ),
        "versions": checklist.versions.select_related("made_by"),
    }
    return render(request, "jobs/checklist_detail.html", context)


@require_POST
@allow("checklist.change")
def checklist_change(request: HttpRequest, pk: int) -> HttpResponse:
    """Make the next version."""
    checklist = get_object_or_404(Checklist, pk=pk)
    return press(
        request,
        change_checklist,
        form=ChecklistForm(request.POST, checklist=checklist),
        page=lambda bound: _checklist_page(request, pk, bound),
        then=reverse("jobs:checklist_detail", args=[pk]),
        told=say("Kept as a new version. Cars in the shop keep theirs."),
        checklist_pk=pk,
    )
