"""Hours and nights of the packages, and how the shop plans."""

from __future__ import annotations

from typing import Any

from django.forms.models import model_to_dict
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from jobs.coverage.catalogue import Package
from jobs.models import PackageHours, PlanRule
from jobs.package_hours.defaults import DEFAULTS
from jobs.package_hours.forms import HoursForm
from jobs.package_hours.queries import took
from jobs.package_hours.took import took_said
from jobs.plan.rule_forms import PlanRuleForm
from shopapp.access import allow
from shopapp.pressing import Bound, form_for


@require_GET
@allow("shop.view")
def package_hours(request: HttpRequest, *, bound: Bound | None = None) -> HttpResponse:
    """How long each package takes, beside what the records say."""
    rows = {row.package: row for row in PackageHours.objects.all()}
    rule = PlanRule.objects.filter(pk=1).first() or PlanRule()
    known = model_to_dict(rule, fields=list(PlanRuleForm.base_fields))
    learned = took()
    context = {
        "bound": bound,
        "packages": [
            {
                "package": package,
                "name": package.value.replace("_", " "),
                "took": learned.get(package),
                "said": took_said(learned[package]) if package in learned else None,
                "form": _form(package, rows.get(package.value), bound),
            }
            for package in DEFAULTS
        ],
        "form": form_for(
            lambda: PlanRuleForm(initial=known), bound, "plan_rule_change"
        ),
    }
    return render(request, "jobs/package_hours/package_hours.html", context)


def _form(package: Package, row: PackageHours | None, bound: Bound | None) -> HoursForm:
    initial, usual = HoursForm.initial_of(row), DEFAULTS[package]
    return form_for(
        lambda: HoursForm(initial=initial, usual=usual),
        bound,
        "package_hours_change",
        package=package.value,
    )


def hours_form(request: HttpRequest, package: str) -> HoursForm:
    """What was typed for a package."""
    return HoursForm(request.POST, usual=DEFAULTS[_known(package)])


def known_package(package: str) -> dict[str, Any]:
    """The package that an address names, as a fact of the action; or 404."""
    return {"package": _known(package).value}


def _known(package: str) -> Package:
    if package not in {each.value for each in Package}:
        raise Http404
    return Package(package)
