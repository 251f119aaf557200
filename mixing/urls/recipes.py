"""Recipes, and what was measured of their mixes."""

from __future__ import annotations

from django.urls import URLPattern, path

from mixing.flash_points.actions import enter_flash_point
from mixing.flash_points.pages import (
    flash_point_form,
    flash_point_withdraw,
    flash_points,
    recipe_flash_points,
)
from mixing.models import Recipe
from mixing.recipes.actions import change_recipe
from mixing.recipes.pages import recipe_detail, recipe_form, recipe_look, recipes
from shopapp.buttons import button
from shopapp.rows import by_pk
from shopapp.say import say

RECIPE = "recipes/<int:pk>"
recipe = by_pk(Recipe, "recipe_pk")

urlpatterns: list[URLPattern] = [
    path("recipes/", recipes, name="recipes"),
    path(f"{RECIPE}/", recipe_detail, name="recipe_detail"),
    path(f"{RECIPE}/look/", recipe_look, name="recipe_look"),
    path(
        f"{RECIPE}/change/",
        button(change_recipe, page=recipe_detail, on=recipe, form=recipe_form),
        name="recipe_change",
    ),
    path("flash-points/", flash_points, name="flash_points"),
    path(f"{RECIPE}/flash-points/", recipe_flash_points, name="recipe_flash_points"),
    path(
        f"{RECIPE}/flash-points/enter/",
        button(
            enter_flash_point,
            page=recipe_flash_points,
            on=recipe,
            form=flash_point_form,
            told=say("Kept."),
        ),
        name="flash_point_enter",
    ),
    path(
        "flash-points/<int:pk>/withdraw/",
        flash_point_withdraw,
        name="flash_point_withdraw",
    ),
]
