"""Recipes as they count now, and sheets and solutions as they were kept."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from datetime import date
from typing import Any

from django.utils.translation import ngettext

from mixing.dispensers.dosing import DispenserKind
from mixing.models import (
    Batch,
    Kind,
    Recipe,
    RecipeVersion,
)
from mixing.recipes.spec import RecipeSpec
from mixing.sheet.input_queries import shelf_for_sheet
from mixing.sheet.parts import MixingSheet, Pour, SolutionSheet
from mixing.sheet.previews import RecipePreview, preview_of
from mixing.sheet.stored import (
    SHEET,
    recipe_as_kept,
    sheet_from_json,
    sheet_to_json,
    solution_from_json,
)
from shopapp.models import the_shop
from shopapp.once import once_a_page
from shopapp.units import Shown


@once_a_page
def kinds_mixed() -> list[str]:
    """The solutions that this shop has ticked, in the order they are mixed."""
    kinds = set(
        Recipe.objects.filter(in_use=True, versions__isnull=False).values_list(
            "kind", flat=True
        )
    )
    return [kind for kind in Kind.values if kind in kinds]


def kinds_in_use() -> list[str]:
    """The solutions this shop mixes for a job, in the order they are mixed.

    Gel is drawn ready-made and only where the sheet advises it.
    """
    return [kind for kind in kinds_mixed() if kind != Kind.GEL]


@once_a_page
def _versions() -> tuple[RecipeVersion, ...]:
    return tuple(RecipeVersion.objects.select_related("recipe"))


def newest_versions(*, also: Collection[str] = ()) -> dict[str, RecipeVersion]:
    """The newest version of each recipe in use, by kind, in mixing order.

    also  kinds that are wanted although the shop does not mix them any more
    """
    found: dict[str, RecipeVersion] = {}
    for version in _versions():
        recipe, known = version.recipe, found.get(version.recipe.kind)
        if not (recipe.in_use or recipe.kind in also):
            continue
        if known is None or version.number > known.number:
            found[recipe.kind] = version
    return {kind: found[kind] for kind in Kind.values if kind in found}


def spec_of(version: RecipeVersion) -> RecipeSpec:
    """What a recipe version says."""
    return recipe_as_kept(version.spec)


def facts_of(sheet: MixingSheet) -> dict[str, object]:
    """A sheet as an order keeps it."""
    return sheet_to_json(sheet)


def kept_facts(facts: Mapping[str, object]) -> dict[str, Any]:
    """What an order kept of a sheet, as this version writes it."""
    return SHEET.upgrade(facts)


def sheet_of(facts: Mapping[str, object]) -> MixingSheet:
    """The sheet that an order kept."""
    return sheet_from_json(facts)


def solution_of(batch: Batch) -> SolutionSheet:
    """What really stands in the vessels of a batch, with every figure."""
    return solution_from_json(batch.facts)


def counted(pour: Pour) -> Shown:
    """How many strokes or drops a counted pour is."""
    if pour.dispenser_kind is DispenserKind.PUMP:
        word = ngettext("stroke", "strokes", pour.fills)
    else:
        word = ngettext("drop", "drops", pour.fills)
    return Shown(number=str(pour.fills), symbol=word)


def recipe_preview(spec: RecipeSpec, *, on: date) -> RecipePreview:
    """One bottle by a recipe, from the stock on the shelf."""
    stock, _dispensers = shelf_for_sheet(on=on)
    return preview_of(spec, stock=stock, system=the_shop().system)
