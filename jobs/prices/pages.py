"""The price list."""

from __future__ import annotations

from django.forms.models import model_to_dict
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from jobs.models import Film, PriceChange
from jobs.money.queries import tax_rule
from jobs.prices.forms import (
    DayForm,
    FillForm,
    PricesForm,
    RaiseForm,
    TaxForm,
    prices_initial,
)
from jobs.prices.list_queries import price_labels, prices_on
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
        "raise_form": form_for(RaiseForm, bound, "prices_raise"),
        "fill_form": form_for(FillForm, bound, "prices_fill"),
        "packages": [words(package) for package in PACKAGES],
        "films": Film.objects.filter(in_use=True),
    }
    return render(request, "jobs/prices/prices.html", context)


CHANGES_SHOWN = 300


@require_GET
@allow("price.view")
def prices_history(request: HttpRequest) -> HttpResponse:
    """What was changed, from when, by whom; and the list as it was on a day."""
    form = DayForm(request.GET or None)
    day = form.cleaned_data["day"] if form.is_valid() else None
    labels = price_labels()
    as_it_was = prices_on(day) if day else {}
    context = {
        "form": form,
        "day": day,
        "as_it_was": [
            (labels[code], as_it_was[code]) for code in labels if code in as_it_was
        ],
        "changes": PriceChange.objects.select_related("by")[:CHANGES_SHOWN],
    }
    return render(request, "jobs/prices/prices_history.html", context)
