"""Measured flash points: those gone by, and what each recipe rests on."""

from __future__ import annotations

from dataclasses import dataclass, replace

from django.db.models import Prefetch, QuerySet

from mixing.models import Batch, Fill, FlashPoint, Recipe, RecipeVersion
from mixing.recipes.spec import RecipeSpec
from mixing.rule_sets.queries import rules_of
from mixing.safety.flammable import Ground, LiquidClass, liquid_class
from mixing.safety.flash_measurement import (
    FlashMeasurement,
    KnownFlash,
    Mix,
    known_flash,
    why_not,
)
from mixing.safety.rules import CATEGORY_4, SafetyRules
from mixing.sheet.queries import spec_of
from shopapp.models import the_shop
from shopapp.once import once_a_page
from shopapp.say import Say


def standing_flash_points() -> QuerySet[FlashPoint]:
    """Measurements neither replaced nor withdrawn."""
    return FlashPoint.objects.filter(
        replaced_by__isnull=True, withdrawal__isnull=True
    ).select_related("recipe_version__recipe")


@once_a_page
def measurements() -> tuple[FlashMeasurement, ...]:
    """The standing ones, as the safety room looks at them."""
    return tuple(measurement_of(row) for row in standing_flash_points())


def measurement_of(row: FlashPoint) -> FlashMeasurement:
    """A row as the safety room looks at it."""
    version = row.recipe_version
    return FlashMeasurement(
        key=row.pk,
        kind=version.recipe.kind,
        recipe=spec_of(version).key,
        vv_pct=row.vv_pct,
        flash_point_c=row.flash_point_c,
        boiling_point_c=row.boiling_point_c,
        closed_cup=row.cup == FlashPoint.Cup.CLOSED,
        ground=Ground(row.ground),
        by=row.measured_by,
        on=row.measured_on,
    )


def mix_of(batch: Batch) -> Mix:
    """A batch as it was mixed."""
    return Mix(
        kind=batch.kind,
        recipe=spec_of(batch.recipe_version).key,
        vv_pct=batch.vv_pct,
        vv_high_pct=batch.vv_high_pct,
    )


def strongest_of(spec: RecipeSpec) -> float:
    """The strongest that a recipe asks for, % v/v, its curve included."""
    if not spec.has_alcohol:
        return 0.0
    curve = spec.strength_curve if spec.strength_curve_on else ()
    return float(max([spec.vv_pct, *(point.amount for point in curve)]))


def mix_by_recipe(spec: RecipeSpec) -> Mix:
    """The strongest mix that a recipe asks for."""
    strength = strongest_of(spec)
    return Mix(
        kind=spec.kind.value, recipe=spec.key, vv_pct=strength, vv_high_pct=strength
    )


def class_of_mix(
    mix: Mix, *, known: KnownFlash | None, rules: SafetyRules
) -> LiquidClass | None:
    """What the rules call a mix; None where they do not say how far category 4 goes.

    Where nothing was measured, by the strongest that it may be, as on its label.
    """
    if known is None:
        return liquid_class(vv_pct=max(mix.vv_pct, mix.vv_high_pct))
    if rules.lacking_to_class(known.flash_point_c):
        return None
    return liquid_class(
        vv_pct=mix.vv_pct,
        flash_point_c=known.flash_point_c,
        boiling_point_c=known.boiling_point_c,
        ground=known.ground,
        basis=known.basis,
        category_4_to_c=rules.limit(CATEGORY_4).value,
    )


@dataclass(frozen=True, kw_only=True)
class FlashRow:
    """A measurement on its page, and why it is not gone by, if it is not.

    state  "used", "stands" (fits, another is gone by), "not used", "replaced" or
           "withdrawn"
    """

    row: FlashPoint
    state: str
    why: Say | None


@dataclass(frozen=True, kw_only=True)
class RecipeFlash:
    """What the newest version of a recipe rests on; `held_ml` stands in vessels."""

    recipe: Recipe
    version: RecipeVersion
    mix: Mix
    known: KnownFlash | None
    found: LiquidClass | None
    held_ml: float
    vessels: int


def recipe_flashes() -> list[RecipeFlash]:
    """Every recipe in use that holds alcohol."""
    versions = Prefetch("versions", RecipeVersion.objects.order_by("-number"))
    recipes = Recipe.objects.filter(in_use=True).prefetch_related(versions)
    rows = []
    for recipe in recipes:
        newest = next(iter(recipe.versions.all()), None)
        if newest is not None and strongest_of(spec_of(newest)):
            rows.append((recipe, newest))
    looked_up = _look_up()
    return [_recipe_flash(*row, looked_up) for row in rows]


def recipe_flash(recipe: Recipe, version: RecipeVersion) -> RecipeFlash:
    """The same of one recipe."""
    return _recipe_flash(recipe, version, _look_up())


@dataclass(frozen=True, kw_only=True)
class _LookedUp:
    measured: tuple[FlashMeasurement, ...]
    rules: SafetyRules
    held: dict[str, tuple[float, int]]


def _look_up() -> _LookedUp:
    return _LookedUp(
        measured=measurements(), rules=rules_of(the_shop()), held=_held_by_kind()
    )


def _recipe_flash(
    recipe: Recipe, version: RecipeVersion, looked_up: _LookedUp
) -> RecipeFlash:
    mix = mix_by_recipe(spec_of(version))
    flash = known_flash(looked_up.measured, mix)
    volume, vessels = looked_up.held.get(recipe.kind, (0.0, 0))
    return RecipeFlash(
        recipe=recipe,
        version=version,
        mix=mix,
        known=flash,
        found=class_of_mix(mix, known=flash, rules=looked_up.rules),
        held_ml=volume,
        vessels=vessels,
    )


@dataclass(frozen=True, kw_only=True)
class HeldMix:
    """What stands mixed in vessels, of one category; None: not known by the rules.

    category  0 for not flammable
    """

    category: int | None
    volume_ml: float
    vessels: int


def held_mixes() -> list[HeldMix]:
    """What stands in the vessels now, by category, each batch as it was mixed."""
    measured, rules = measurements(), rules_of(the_shop())
    found: dict[int | None, HeldMix] = {}
    fills = Fill.objects.filter(emptied_at__isnull=True)
    for fill in fills.select_related("batch__recipe_version"):
        mix = mix_of(fill.batch)
        known = known_flash(measured, mix)
        liquid = class_of_mix(mix, known=known, rules=rules)
        category = None if liquid is None else liquid.category or 0
        before = found.get(category, HeldMix(category=category, volume_ml=0, vessels=0))
        found[category] = replace(
            before,
            volume_ml=before.volume_ml + fill.holds_ml,
            vessels=before.vessels + 1,
        )
    return sorted(found.values(), key=lambda held: held.category or 9)


def _held_by_kind() -> dict[str, tuple[float, int]]:
    found: dict[str, tuple[float, int]] = {}
    for fill in Fill.objects.filter(emptied_at__isnull=True).select_related("batch"):
        volume, count = found.get(fill.batch.kind, (0.0, 0))
        found[fill.batch.kind] = (volume + fill.holds_ml, count + 1)
    return found


def flash_rows(recipe: Recipe, *, mix: Mix) -> list[FlashRow]:
    """Every measurement of a recipe, the newest first."""
    rows = FlashPoint.objects.filter(recipe_version__recipe=recipe).select_related(
        "recipe_version__recipe",
        "entered_by",
        "report",
        "replaced_by",
        "withdrawal__by",
    )
    used = known_flash(measurements(), mix)
    return [_flash_row(row, mix=mix, used=used) for row in rows]


def _flash_row(row: FlashPoint, *, mix: Mix, used: KnownFlash | None) -> FlashRow:
    if hasattr(row, "withdrawal"):
        return FlashRow(row=row, state="withdrawn", why=None)
    if hasattr(row, "replaced_by"):
        return FlashRow(row=row, state="replaced", why=None)
    if used is not None and used.key == row.pk:
        return FlashRow(row=row, state="used", why=None)
    why = why_not(measurement_of(row), mix)
    return FlashRow(row=row, state="not used" if why else "stands", why=why)
