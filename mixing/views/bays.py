"""Bays, and the local code that the safety block goes by."""

from __future__ import annotations

from typing import Any

from django.forms.models import model_to_dict
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_POST

from mixing.actions.bays import change_bay
from mixing.forms.bays import BayForm, LocalCodeForm
from mixing.hazards import bay_rows
from shopapp.access import allow
from shopapp.actions import change_shop
from shopapp.models import Bay, the_shop
from shopapp.pressing import Bound, form_for, press
from shopapp.say import say


@require_GET
@allow("shop.view")
def bays(request: HttpRequest) -> HttpResponse:
    """The bays with what is known of their air."""
    return _bays_page(request, None)


def _bays_page(request: HttpRequest, bound: Bound | None) -> HttpResponse:
    rows = bay_rows()
    context = {
        "bound": bound,
        "rows": rows,
        "form": form_for(
            lambda: BayForm(initial={"position": len(rows) + 1}), bound, "bay_add"
        ),
    }
    return render(request, "mixing/bays.html", context)


@require_POST
@allow("bay.change")
def bay_add(request: HttpRequest) -> HttpResponse:
    """Add a bay."""
    return press(
        request,
        change_bay,
        form=BayForm(request.POST),
        page=lambda bound: _bays_page(request, bound),
        then=lambda answer: reverse("mixing:bay_detail", args=[answer["pk"]]),
    )


@require_GET
@allow("shop.view")
def bay_detail(request: HttpRequest, pk: int) -> HttpResponse:
    """One bay."""
    return _bay_page(request, pk, None)


def _bay_page(request: HttpRequest, pk: int, bound: Bound | None) -> HttpResponse:
    bay = get_object_or_404(Bay, pk=pk)
    known = model_to_dict(bay)
    if bay.floor_drain is not None:
        known["floor_drain"] = "yes" if bay.floor_drain else "no"
    context: dict[str, Any] = {
        "bound": bound,
        "bay": bay,
        "form": form_for(lambda: BayForm(initial=known), bound, "bay_change"),
    }
    return render(request, "mixing/bay_detail.html", context)


@require_POST
@allow("bay.change")
def bay_change(request: HttpRequest, pk: int) -> HttpResponse:
    """Keep what was measured."""
    get_object_or_404(Bay, pk=pk)
    return press(
        request,
        change_bay,
        form=BayForm(request.POST),
        page=lambda bound: _bay_page(request, pk, bound),
        then=reverse("mixing:bay_detail", args=[pk]),
        told=say("Kept."),
        bay_pk=pk,
    )


@require_GET
@allow("shop.view")
def local_code(request: HttpRequest) -> HttpResponse:
    """The vapour limit, the rules, the authorities."""
    return _local_code_page(request, None)


def _local_code_page(request: HttpRequest, bound: Bound | None) -> HttpResponse:
    known = model_to_dict(the_shop(), fields=list(LocalCodeForm.base_fields))
    form = form_for(lambda: LocalCodeForm(initial=known), bound, "local_code_change")
    return render(request, "mixing/local_code.html", {"bound": bound, "form": form})


@require_POST
@allow("shop.change")
def local_code_change(request: HttpRequest) -> HttpResponse:
    """Keep it."""
    return press(
        request,
        change_shop,
        form=LocalCodeForm(request.POST),
        page=lambda bound: _local_code_page(request, bound),
        then=reverse("mixing:local_code"),
        told=say("Kept."),
    )
