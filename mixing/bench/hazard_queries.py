"""How readily what a vessel may hold burns, and its size among the others."""

from __future__ import annotations

from mixing.flash_points.queries import strongest_of
from mixing.models import Fill, Kind, StockContainer, Vessel
from mixing.recipes.spec import RecipeSpec
from mixing.safety.flammable import liquid_class
from mixing.safety.rules import SafetyRules
from mixing.safety.storage import NOT_FLAMMABLE, ContainerKind
from mixing.safety.storage import StockContainer as SafetyContainer
from mixing.sheet.queries import newest_versions, spec_of
from mixing.shelf.data_sheet_queries import gel_sheet

CONTAINER_KINDS = {
    StockContainer.Material.PLASTIC: ContainerKind.GLASS_OR_PLASTIC,
    StockContainer.Material.GLASS: ContainerKind.GLASS_OR_PLASTIC,
    StockContainer.Material.METAL: ContainerKind.METAL,
    StockContainer.Material.SAFETY_CAN: ContainerKind.SAFETY_CAN,
    StockContainer.Material.DRUM: ContainerKind.DRUM,
}


def recipe_of_kind(kind: str) -> RecipeSpec | None:
    """The newest recipe of a kind, mixed here or not: a bottle may still hold it."""
    version = newest_versions(also=(kind,)).get(kind)
    return spec_of(version) if version else None


def strongest_vv_pct(kind: str) -> float:
    """The strongest that the recipe makes, its curve and its tolerance included."""
    spec = recipe_of_kind(kind)
    if spec is None:
        return 0.0
    tolerated = 1 + spec.strength_tolerance_pct / 100
    return min(100.0, strongest_of(spec) * tolerated)


def vessels_for_safety(rules: SafetyRules) -> tuple[SafetyContainer, ...]:
    """Bottles and sprayers that hold, or may be filled with, what burns."""
    by_kind = {kind: strongest_vv_pct(kind) for kind in Kind.values}
    held: dict[int, float] = {}
    held_now = Fill.objects.filter(emptied_at=None).select_related("batch")
    # By vessel, as those that hold something are indexed.
    for fill in held_now.order_by("vessel"):
        most = max(fill.batch.vv_pct, fill.batch.vv_high_pct)
        held[fill.vessel_id] = max(held.get(fill.vessel_id, 0.0), most)
    gel = gel_sheet(rules=rules).category
    return tuple(
        _sized(vessel, category)
        for vessel in Vessel.objects.filter(retired=False)
        if (
            category := gel
            if vessel.kind == Kind.GEL
            else liquid_class(
                vv_pct=max(by_kind[vessel.kind], held.get(vessel.pk, 0.0))
            ).category
        )
    )


def _sized(vessel: Vessel, category: int | None) -> SafetyContainer:
    material = vessel.material or StockContainer.Material.PLASTIC
    return SafetyContainer(
        name=vessel.code,
        category=NOT_FLAMMABLE if category is None else category,
        size_l=vessel.capacity_ml / 1000,
        kind=CONTAINER_KINDS[StockContainer.Material(material)],
        is_glass=material == StockContainer.Material.GLASS,
        is_in_use=True,
        location=None,
        listed=vessel.approved,
    )
