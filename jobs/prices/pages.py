"""The price list."""

from __future__ import annotations

from django.forms.models import model_to_dict
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from jobs.models import Film
from jobs.money.queries import tax_rule
from jobs.prices.forms import PricesForm, TaxForm, prices_initial
from jobs.prices.queries import PACKAGES, words
from shopapp.access import allow
from shopapp.pressing import Bound, form_for


@require_GET
@allow("price.view")
def prices(request: HttpRequest, *, bound: Bound | None = None) -> HttpResponse:
    """What the shop asks for, by package and size."""
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
    return render(request, "jobs/prices/prices.html", context)
