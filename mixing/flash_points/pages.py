"""Measured flash points of mixed solutions: what each recipe rests on."""

from __future__ import annotations

from inspect import unwrap
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_POST

from mixing.flash_points.actions import withdraw_flash_point
from mixing.flash_points.forms import FlashPointForm, WithdrawForm
from mixing.flash_points.queries import (
    flash_rows,
    mix_by_recipe,
    recipe_flash,
    recipe_flashes,
)
from mixing.models import FlashPoint, Recipe
from mixing.sheet.queries import spec_of
from shopapp.access import allow
from shopapp.pressing import Bound, form_for, press
from shopapp.say import say


@require_GET
@allow("flashpoint.view")
def flash_points(request: HttpRequest) -> HttpResponse:
    """Every recipe with alcohol, and whether its flash point was measured."""
    context = {"tab": "recipes", "rows": recipe_flashes()}
    return render(request, "mixing/flash_points/flash_points.html", context)


@require_GET
@allow("flashpoint.view")
def recipe_flash_points(
    request: HttpRequest, pk: int, *, bound: Bound | None = None
) -> HttpResponse:
    """The values of one recipe, with a form for one more."""
    recipe = get_object_or_404(Recipe, pk=pk)
    newest = recipe.versions.all()[0]
    mix = mix_by_recipe(spec_of(newest))
    begin = {"recipe_version": newest.pk, "vv_pct": round(mix.vv_pct, 2) or None}
    rows = [
        (each, form_for(WithdrawForm, bound, "flash_point_withdraw", pk=each.row.pk))
        for each in flash_rows(recipe, mix=mix)
    ]
    context: dict[str, Any] = {
        "bound": bound,
        "tab": "recipes",
        "recipe": recipe,
        "now": recipe_flash(recipe, newest),
        "rows": rows,
        "form": form_for(
            lambda: FlashPointForm(recipe=recipe, initial=begin),
            bound,
            "flash_point_enter",
        ),
    }
    return render(request, "mixing/flash_points/recipe_flash_points.html", context)


def flash_point_form(request: HttpRequest, pk: int) -> FlashPointForm:
    """One more value, of a version of this recipe."""
    recipe = get_object_or_404(Recipe, pk=pk)
    return FlashPointForm(request.POST, request.FILES, recipe=recipe)


@require_POST
@allow("flashpoint.withdraw")
def flash_point_withdraw(request: HttpRequest, pk: int) -> HttpResponse:
    """Go by a value no more; its page is its recipe's."""
    versions = FlashPoint.objects.select_related("recipe_version")
    recipe_pk = get_object_or_404(versions, pk=pk).recipe_version.recipe_id
    return press(
        request,
        withdraw_flash_point,
        form=WithdrawForm(request.POST),
        page=lambda bound: unwrap(recipe_flash_points)(request, recipe_pk, bound=bound),
        then=reverse("mixing:recipe_flash_points", args=[recipe_pk]),
        told=say("Withdrawn: it is not gone by any more."),
        flash_point_pk=pk,
    )
