"""Sets of safety rules: the shipped example, and those that the shop entered."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_GET

from mixing.models import RuleSet, RuleSetVersion
from mixing.rule_sets.forms import RuleSetAddForm, RuleSetForm
from mixing.rule_sets.queries import (
    grouped,
    newest_version,
    rows_of,
    rule_groups,
    shipped_sets,
)
from shopapp.access import allow
from shopapp.models import the_shop
from shopapp.pressing import Bound, form_for


@require_GET
@allow("ruleset.view")
def rule_sets(request: HttpRequest, *, bound: Bound | None = None) -> HttpResponse:
    """Every set, the one gone by marked, and a new one to begin."""
    context: dict[str, Any] = {
        "bound": bound,
        "chosen": the_shop().jurisdiction,
        "shipped": [(name, rule_groups(name)) for name in shipped_sets()],
        "own": [(each, newest_version(each)) for each in RuleSet.objects.all()],
        "form": form_for(RuleSetAddForm, bound, "rule_set_add"),
    }
    return render(request, "mixing/rule_sets/rule_sets.html", context)


@require_GET
@allow("ruleset.view")
def rule_set_detail(
    request: HttpRequest, pk: int, *, bound: Bound | None = None
) -> HttpResponse:
    """A set as it stands now, as a form, and its versions."""
    rule_set = get_object_or_404(RuleSet, pk=pk)
    newest = newest_version(rule_set)
    form = form_for(
        lambda: RuleSetForm(rows=rows_of(newest), initial={"number": newest.number}),
        bound,
        "rule_set_change",
    )
    context: dict[str, Any] = {
        "bound": bound,
        "rule_set": rule_set,
        "newest": newest,
        "is_chosen": the_shop().jurisdiction == rule_set.name,
        "versions": rule_set.versions.select_related("made_by"),
        "form": form,
        "groups": grouped(rows_of(newest)),
    }
    return render(request, "mixing/rule_sets/rule_set_detail.html", context)


@require_GET
@allow("ruleset.view")
def rule_set_version(request: HttpRequest, pk: int) -> HttpResponse:
    """What a set said in one version."""
    versions = RuleSetVersion.objects.select_related("rule_set", "made_by")
    version = get_object_or_404(versions, pk=pk)
    context = {"version": version, "groups": grouped(rows_of(version))}
    return render(request, "mixing/rule_sets/rule_set_version.html", context)


def rule_set_form(request: HttpRequest, pk: int) -> RuleSetForm:
    """The next version, typed over the newest."""
    newest = newest_version(get_object_or_404(RuleSet, pk=pk))
    return RuleSetForm(request.POST, rows=rows_of(newest))
