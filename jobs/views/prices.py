"""The price list."""

from __future__ import annotations

from django.forms.models import model_to_dict
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_POST

from jobs.actions.prices import change_tax, set_prices
from jobs.forms.prices import PricesForm, TaxForm, prices_initial
from jobs.models import Film
from jobs.queries.money import tax_rule
from jobs.queries.pricing import PACKAGES, words
from shopapp.access import allow
from shopapp.pressing import Bound, form_for, press
from shopapp.say import say


@require_GET
@allow("price.view")
def prices(request: HttpRequest) -> HttpResponse:
    """What the shop asks for, by package and size."""
    return _page(request, None)


def _page(request: HttpRequest, bound: Bound | None) -> HttpResponse:
    tax = tax_rule()
    context = {
        "bound": bound,
        "form": form_for(
            lambda: PricesForm(initial=prices_initial()), bound, "prices_change"
        ),
        "tax": tax,
        "tax_form": form_for(
            lambda: TaxForm(initial={**model_to_dict(tax), "pct": tax.rate}),
            bound,
            "tax_change",
        ),
        "packages": [words(package) for package in PACKAGES],
        "films": Film.objects.filter(in_use=True),
    }
    return render(request, "jobs/prices.html", context)


@require_POST
@allow("price.change")
def prices_change(request: HttpRequest) -> HttpResponse:
    """Keep the list as typed."""
    return press(
        request,
        set_prices,
        form=PricesForm(request.POST),
        page=lambda bound: _page(request, bound),
        then=reverse("jobs:prices"),
        told=say("The price list is kept."),
    )


@require_POST
@allow("tax.change")
def tax_change(request: HttpRequest) -> HttpResponse:
    """Keep the tax."""
    return press(
        request,
        change_tax,
        form=TaxForm(request.POST),
        page=lambda bound: _page(request, bound),
        then=reverse("jobs:prices"),
        told=say("The tax is kept, for what is agreed from now on."),
    )
