"""Recipes: a change makes a new immutable version, with why."""

from __future__ import annotations

from dataclasses import replace

from mixing import limits
from mixing.models import Recipe, RecipeVersion
from mixing.recipes.spec import RecipeSpec, SolutionKind, trade_recipes
from mixing.sheet.stored import recipe_as_kept, recipe_to_json
from shopapp.frame import Act, Json, Refused, action, refuse_outside
from shopapp.say import say

FIRST_KINDS = (SolutionKind.SLIP, SolutionKind.TACK)


@action("recipe.change")
def change_recipe(act: Act, *, recipe_pk: int, spec: RecipeSpec, why: str) -> Json:
    """Make the next version of a recipe. Sheets and batches keep their own."""
    recipe = Recipe.objects.filter(pk=recipe_pk).first()
    if recipe is None:
        raise Refused(say("This recipe is not there any more."))
    if not why.strip():
        raise Refused(say("Say why it changes."), field="why")
    last = recipe.versions.select_for_update(no_key=True).order_by("-number").first()
    if spec.kind.value != recipe.kind:
        raise Refused(say("A recipe keeps its kind."))
    # Zero stands for what its kind does not hold.
    said = {name: getattr(spec, name) or None for name in limits.RECIPE}
    refuse_outside(limits.RECIPE, said)
    if last is not None and _same(recipe_as_kept(last.spec), spec):
        raise Refused(say("Nothing was changed."))
    number = last.number + 1 if last else 1
    key = f"{recipe.kind.replace('_', '-')}-{number}"
    version = RecipeVersion.objects.create(
        recipe=recipe,
        number=number,
        spec=recipe_to_json(replace(spec, key=key)),
        why=why.strip(),
        made_by=act.tap.by,
        made_at=act.now,
    )
    return {"pk": version.pk, "number": version.number}


def _same(before: RecipeSpec, after: RecipeSpec) -> bool:
    def bare(spec: RecipeSpec) -> dict[str, object]:
        return {k: v for k, v in recipe_to_json(spec).items() if k != "key"}

    return bare(before) == bare(after)


def load_recipes(act: Act) -> None:
    """The trade's recipes as version 1, where a kind has none.

    A new shop begins with slip and tack; it ticks the others in its settings.
    """
    for spec in trade_recipes():
        if Recipe.objects.filter(kind=spec.kind.value).exists():
            continue
        recipe = Recipe.objects.create(
            kind=spec.kind.value, name=spec.name, in_use=spec.kind in FIRST_KINDS
        )
        RecipeVersion.objects.create(
            recipe=recipe,
            number=1,
            spec=recipe_to_json(spec),
            why=spec.source,
            made_by=act.tap.by,
            made_at=act.now,
        )
