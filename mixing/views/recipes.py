"""Recipes: what each says, its curve and bottle, who changed it and why."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from mixing.actions.recipes import change_recipe
from mixing.forms.recipes import RecipeForm
from mixing.models import Recipe
from mixing.queries import recipe_preview, spec_of
from shopapp.access import allow
from shopapp.pressing import Bound, form_for, press


@require_GET
@allow("recipe.view")
def recipes(request: HttpRequest) -> HttpResponse:
    """The shop's recipes."""
    rows = [
        (recipe, version, spec_of(version))
        for recipe in Recipe.objects.prefetch_related("versions")
        if (version := recipe.versions.all().first())
    ]
    return render(request, "mixing/recipes.html", {"rows": rows, "tab": "recipes"})


@require_GET
@allow("recipe.view")
def recipe_detail(request: HttpRequest, pk: int) -> HttpResponse:
    """One recipe: its newest version, as a form for those who may change it."""
    return _page(request, pk, None)


def _page(
    request: HttpRequest, pk: int, bound: Bound | None, *, looked: Any = None
) -> HttpResponse:
    recipe = get_object_or_404(Recipe, pk=pk)
    versions = list(recipe.versions.select_related("made_by"))
    spec = spec_of(versions[0])
    form = looked or form_for(lambda: RecipeForm(spec=spec), bound, "recipe_change")
    shown = form.made if form.is_bound and form.made else spec
    context: dict[str, Any] = {
        "bound": bound,
        "tab": "recipes",
        "recipe": recipe,
        "versions": versions,
        "spec": shown,
        "form": form,
        "preview": recipe_preview(shown, on=timezone.localdate()),
    }
    return render(request, "mixing/recipe_detail.html", context)


@require_POST
@allow("recipe.view")
def recipe_look(request: HttpRequest, pk: int) -> HttpResponse:
    """Draw what is typed, without keeping it."""
    recipe = get_object_or_404(Recipe, pk=pk)
    form = RecipeForm(request.POST, spec=spec_of(recipe.versions.all()[0]))
    form.is_valid()
    form.errors.pop("why", None)
    if not request.htmx:  # type: ignore[attr-defined]
        return _page(request, pk, None, looked=form)
    shown = form.made or form.spec
    context = {
        "form": form,
        "spec": shown,
        "preview": recipe_preview(shown, on=timezone.localdate()),
    }
    return render(request, "mixing/_recipe_preview.html", context)


@require_POST
@allow("recipe.change")
def recipe_change(request: HttpRequest, pk: int) -> HttpResponse:
    """Keep a new version."""
    recipe = get_object_or_404(Recipe, pk=pk)
    return press(
        request,
        change_recipe,
        form=RecipeForm(request.POST, spec=spec_of(recipe.versions.all()[0])),
        page=lambda bound: _page(request, pk, bound),
        then=reverse("mixing:recipe_detail", args=[pk]),
        recipe_pk=pk,
    )
