"""Recipes: what each says, its curve and bottle, who changed it and why."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from mixing.models import Recipe
from mixing.recipes.forms import RecipeForm
from mixing.sheet.queries import recipe_preview, spec_of
from shopapp.access import allow
from shopapp.pressing import Bound, form_for


@require_GET
@allow("recipe.view")
def recipes(request: HttpRequest) -> HttpResponse:
    """The shop's recipes."""
    rows = [
        (recipe, version, spec_of(version))
        for recipe in Recipe.objects.prefetch_related("versions")
        if (version := recipe.versions.all().first())
    ]
    return render(
        request, "mixing/recipes/recipes.html", {"rows": rows, "tab": "recipes"}
    )


@require_GET
@allow("recipe.view")
def recipe_detail(
    request: HttpRequest, pk: int, *, bound: Bound | None = None
) -> HttpResponse:
    """One recipe: its newest version, as a form for those who may change it."""
    spec = spec_of(get_object_or_404(Recipe, pk=pk).versions.all()[0])
    form = form_for(lambda: RecipeForm(spec=spec), bound, "recipe_change")
    return _page(request, pk, form, bound)


def _page(
    request: HttpRequest, pk: int, form: RecipeForm, bound: Bound | None = None
) -> HttpResponse:
    recipe = get_object_or_404(Recipe, pk=pk)
    versions = list(recipe.versions.select_related("made_by"))
    shown = form.made if form.is_bound and form.made else spec_of(versions[0])
    context: dict[str, Any] = {
        "bound": bound,
        "tab": "recipes",
        "recipe": recipe,
        "versions": versions,
        "spec": shown,
        "form": form,
        "preview": recipe_preview(shown, on=timezone.localdate()),
    }
    return render(request, "mixing/recipes/recipe_detail.html", context)


@require_POST
@allow("recipe.view")
def recipe_look(request: HttpRequest, pk: int) -> HttpResponse:
    """Draw what is typed, without keeping it."""
    form = recipe_form(request, pk)
    form.is_valid()
    form.errors.pop("why", None)
    if not request.htmx:  # type: ignore[attr-defined]
        return _page(request, pk, form)
    shown = form.made or form.spec
    context = {
        "form": form,
        "spec": shown,
        "preview": recipe_preview(shown, on=timezone.localdate()),
    }
    return render(request, "mixing/recipes/_recipe_preview.html", context)


def recipe_form(request: HttpRequest, pk: int) -> RecipeForm:
    """A new version, typed over the newest."""
    newest = get_object_or_404(Recipe, pk=pk).versions.all()[0]
    return RecipeForm(request.POST, spec=spec_of(newest))
