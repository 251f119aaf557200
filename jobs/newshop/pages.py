"""Open your shop: what is there, what is missing, a step at a time."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from django.forms.models import model_to_dict
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from jobs.newshop.actions import DEFAULTS
from jobs.newshop.forms import NameShopForm, SolutionsForm
from jobs.newshop.queries import lacks, machine_measures, steps_now
from jobs.newshop.steps import Step
from jobs.prices.forms import FillForm
from shopapp.access import allow
from shopapp.models import Shop, the_shop
from shopapp.pressing import Bound, form_for


@require_GET
@allow("newshop.view")
def open_shop(request: HttpRequest, *, bound: Bound | None = None) -> HttpResponse:
    """The list of steps, with what each has."""
    steps = steps_now()
    missing = [each for each in steps if not each.is_done]
    context = {
        "bound": bound,
        "steps": steps,
        "done": len(steps) - len(missing),
        "next": missing[0] if missing else None,
        "has_defaults": any(each.step in DEFAULTS for each in missing),
    }
    return render(request, "jobs/newshop/open_shop.html", context)


@require_GET
@allow("newshop.view")
def open_step(
    request: HttpRequest, step: str, *, bound: Bound | None = None
) -> HttpResponse:
    """One step: what is there, what is offered, where more is set."""
    return _step(request, step, bound=bound)


def _step(request: HttpRequest, step: str, *, bound: Bound | None) -> HttpResponse:
    found = next((each for each in steps_now() if each.step == step), None)
    if found is None:
        raise Http404
    order = list(Step)
    at = order.index(found.step)
    context = {
        "bound": bound,
        "at": found,
        "number": at + 1,
        "count": len(order),
        "takes_over": found.step in DEFAULTS and not found.is_done,
        "forms": _forms(found.step, bound),
    }
    return render(request, "jobs/newshop/open_step.html", context)


def _forms(step: Step, bound: Bound | None) -> dict[str, Any]:
    if step is Step.SHOP:
        return {"shop": form_for(_name_form, bound, "open_name")}
    if step is Step.SOLUTIONS:
        return {"solutions": form_for(SolutionsForm, bound, "open_solutions")}
    if step is Step.PRICES:
        return {"prices": form_for(FillForm, bound, "open_prices")}
    return {}


def _name_form() -> NameShopForm:
    known = model_to_dict(the_shop(), fields=list(NameShopForm.base_fields))
    if lacks(Step.SHOP):
        known |= asdict(machine_measures())
        if known["name"] == Shop._meta.get_field("name").default:
            known["name"] = ""
    return NameShopForm(initial=known)


@require_GET
@allow("newshop.view")
def shop_step(request: HttpRequest, *, bound: Bound | None = None) -> HttpResponse:
    """Its name."""
    return _step(request, Step.SHOP, bound=bound)


@require_GET
@allow("newshop.view")
def solutions_step(request: HttpRequest, *, bound: Bound | None = None) -> HttpResponse:
    """What it lays with."""
    return _step(request, Step.SOLUTIONS, bound=bound)


@require_GET
@allow("newshop.view")
def prices_step(request: HttpRequest, *, bound: Bound | None = None) -> HttpResponse:
    """What it asks for."""
    return _step(request, Step.PRICES, bound=bound)
