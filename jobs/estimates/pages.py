"""Estimates at the desk: the list, the one-page form, one with its versions."""

from __future__ import annotations

from typing import Any, cast

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from jobs.bookings.history_queries import history_of_booking
from jobs.customers.known_queries import known_of
from jobs.estimates.first_forms import as_typed, changed_form, new_form
from jobs.estimates.forms import (
    AcceptedForm,
    EndForm,
    EstimateForm,
    EstimateRuleForm,
    SignEstimateForm,
)
from jobs.estimates.queries import (
    ShownEstimate,
    estimate_rule,
    open_estimates,
    papers_of_estimate,
    past_estimates,
    shown,
    with_versions,
)
from jobs.models import Customer, CustomerEstimate, Vehicle
from jobs.public.section_pages import customer_section
from shopapp.access import allow
from shopapp.models import the_shop
from shopapp.pressing import Bound, form_for

Json = dict[str, Any]


@require_GET
@allow("estimate.view")
def estimates(request: HttpRequest) -> HttpResponse:
    """Those that are open, and the latest that are done with."""
    now = timezone.now()
    past = past_estimates(now=now) if "past" in request.GET else []
    context = {"open": open_estimates(now=now), "past": past}
    return render(request, "jobs/estimates/estimates.html", context)


@require_GET
@allow("estimate.make")
def estimate_new(request: HttpRequest, *, bound: Bound | None = None) -> HttpResponse:
    """A new estimate, for a customer and car that are known or not."""
    if bound:
        return _form_page(request, cast(EstimateForm, bound.form), bound)
    vehicle = Vehicle.objects.filter(pk=_number(request, "vehicle")).first()
    customer = Customer.objects.filter(pk=_number(request, "customer")).first()
    owner = vehicle.customer if vehicle else customer
    return _form_page(request, new_form(customer=owner, vehicle=vehicle))


def _number(request: HttpRequest, name: str) -> int:
    text = request.GET.get(name, "")
    return int(text) if text.isdecimal() and len(text) < 18 else 0


@require_GET
@allow("estimate.change")
def estimate_edit(
    request: HttpRequest, pk: int, *, bound: Bound | None = None
) -> HttpResponse:
    """The newest version again, to offer something else."""
    row = get_object_or_404(with_versions(), pk=pk)
    form = cast(EstimateForm, bound.form) if bound else changed_form(row)
    return _form_page(request, form, bound)


def _form_page(
    request: HttpRequest, form: EstimateForm, bound: Bound | None = None
) -> HttpResponse:
    template = "estimate_edit" if form.row else "estimate_new"
    context = {**_form_facts(request, form), "bound": bound}
    return render(request, f"jobs/estimates/{template}.html", context)


def _form_facts(request: HttpRequest, form: EstimateForm) -> Json:
    pk = str(form["customer_pk"].value() or "")
    names = ("customer_pk", "vehicle_pk", "name", "phone", "plate", "vin")
    said = {name: str(form[name].value() or "") for name in names}
    look = [form.row.pk] if form.row else []
    return {
        "form": form,
        "row": form.row,
        "known": known_of(said) if request.method == "POST" else None,
        "customer": Customer.objects.filter(pk=pk).first() if pk.isdecimal() else None,
        "look_url": reverse("jobs:estimate_look", args=look),
    }


@require_POST
@allow("estimate.make")
def estimate_look(request: HttpRequest, pk: int | None = None) -> HttpResponse:
    """Prices, film and panels of what is typed; nothing is kept."""
    row = get_object_or_404(CustomerEstimate, pk=pk) if pk else None
    form = as_typed(request.POST, row=row)
    target = str(request.htmx.target)  # type: ignore[attr-defined]
    if target == "estimate-prices":
        context = {**_form_facts(request, form), "form": form}
        return render(request, "jobs/estimates/_prices.html", context)
    for choice in form.choices:
        if target == f"package-{choice.place}":
            context = {**_form_facts(request, form), "choice": choice}
            return render(request, "jobs/estimates/_choice.html", context)
    return _form_page(request, form)


@require_POST
@allow("estimate.make")
def estimate_known(request: HttpRequest) -> HttpResponse:
    """Who and which car is known of what is typed. In the body: it is personal data."""
    typed = {name: str(value)[:120] for name, value in request.POST.items()}
    context = {
        "form": EstimateForm(initial={"apart": "apart" in typed}),
        "known": known_of(typed),
        "look_url": reverse("jobs:estimate_look"),
    }
    return render(request, "jobs/bookings/_known.html", context)


def estimate_form(request: HttpRequest, pk: int | None = None) -> EstimateForm:
    """What is offered, or offered instead."""
    row = get_object_or_404(CustomerEstimate, pk=pk) if pk else None
    return EstimateForm(request.POST, row=row)


def _shown(pk: int) -> ShownEstimate:
    return shown(get_object_or_404(with_versions(), pk=pk), now=timezone.now())


@require_GET
@allow("estimate.view")
def estimate_detail(
    request: HttpRequest, pk: int, *, bound: Bound | None = None
) -> HttpResponse:
    """One estimate: how it stands, its versions, what the customer said."""
    seen = _shown(pk)
    row, version = seen.row, seen.newest.row
    said = {"name": row.customer.name}
    context = {
        "seen": seen,
        "row": row,
        "now": timezone.now(),
        "bound": bound,
        "papers": papers_of_estimate(row),
        "sizes": sheets(),
        "history": history_of_booking(row),
        "accept_form": form_for(
            lambda: AcceptedForm(version=version, initial=said),
            bound,
            "estimate_accept",
        ),
        "end_form": form_for(EndForm, bound, "estimate_end"),
        **customer_section(row, bound),
    }
    return render(request, "jobs/estimates/estimate_detail.html", context)


def sheets() -> list[str]:
    """The sheets to print on, the shop's own first."""
    return sorted(("A4", "Letter"), key=lambda size: size != the_shop().paper_size)


@require_GET
@allow("estimate.accept")
def estimate_sign(
    request: HttpRequest, pk: int, *, bound: Bound | None = None
) -> HttpResponse:
    """What the customer signs for, and the field to sign in."""
    seen = _shown(pk)
    version, said = seen.newest.row, {"name": seen.row.customer.name}
    context = {
        "seen": seen,
        "row": seen.row,
        "bound": bound,
        "form": form_for(
            lambda: SignEstimateForm(version=version, initial=said),
            bound,
            "estimate_signed",
        ),
    }
    return render(request, "jobs/estimates/estimate_sign.html", context)


def _answered(kind: Any) -> Any:
    """A maker of the form of a yes, to the version that was shown."""

    def form(request: HttpRequest, pk: int, version_pk: int) -> Any:
        row = get_object_or_404(CustomerEstimate, pk=pk)
        version = get_object_or_404(row.versions, pk=version_pk)
        return kind(request.POST, version=version)

    return form


accepted_form = _answered(AcceptedForm)
signed_form = _answered(SignEstimateForm)


@require_GET
@allow("estimaterule.change")
def estimate_rules(request: HttpRequest, *, bound: Bound | None = None) -> HttpResponse:
    """How long an estimate holds, and what customers bring."""
    rule = estimate_rule()
    known = {"valid_days": rule.valid_days, "bring": rule.bring}
    context = {
        "bound": bound,
        "form": form_for(
            lambda: EstimateRuleForm(initial=known), bound, "estimate_rules_change"
        ),
    }
    return render(request, "jobs/estimates/estimate_rules.html", context)
