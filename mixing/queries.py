"""Reads of the bottle's path that pages and the car's path share."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime

from mixing.climate.air import dew_point_c
from mixing.dosing import Dispenser as SheetDispenser
from mixing.dosing import DispenserKind
from mixing.dosing import Substance as SheetSubstance
from mixing.models import (
    Batch,
    Dispenser,
    Fill,
    Kind,
    Reading,
    Recipe,
    RecipeVersion,
    StockContainer,
    Substance,
    Vessel,
    WaterTest,
)
from mixing.parts import MixingSheet, SolutionSheet
from mixing.recipes import RecipeSpec, SolutionKind
from mixing.request import (
    Basis,
    Conditions,
    Water,
    WaterSource,
)
from mixing.request import StockContainer as SheetContainer
from mixing.request import Vessel as SheetVessel
from mixing.stored import (
    recipe_from_json,
    sheet_from_json,
    sheet_to_json,
    solution_from_json,
)


def dew_point_of(reading: Reading) -> float:
    """Dew point of a reading, °C."""
    return dew_point_c(air_c=reading.air_c, rh_pct=reading.rh_pct)


def kinds_in_use() -> list[str]:
    """The solutions this shop mixes for a job, in the order they are mixed.

    Gel is drawn ready-made and only where the sheet advises it.
    """
    kinds = set(
        Recipe.objects.filter(in_use=True, versions__isnull=False).values_list(
            "kind", flat=True
        )
    )
    return [kind for kind in Kind.values if kind in kinds and kind != Kind.GEL]


def is_fresh(batch: Batch, *, at: datetime) -> bool:
    """Whether a batch may still be used."""
    return at < batch.use_by


def newest_versions() -> dict[str, RecipeVersion]:
    """The newest version of each recipe in use, by kind, in mixing order."""
    found: dict[str, RecipeVersion] = {}
    for version in RecipeVersion.objects.filter(recipe__in_use=True).select_related(
        "recipe"
    ):
        known = found.get(version.recipe.kind)
        if known is None or version.number > known.number:
            found[version.recipe.kind] = version
    return {kind: found[kind] for kind in Kind.values if kind in found}


def spec_of(version: RecipeVersion) -> RecipeSpec:
    """What a recipe version says."""
    return recipe_from_json(version.spec)


def conditions_of(reading: Reading | None) -> Conditions:
    """A reading as the sheet takes it."""
    if reading is None:
        return Conditions()
    return Conditions(
        air_c=reading.air_c, rh_pct=reading.rh_pct, panel_c=reading.panel_c
    )


def vessel_for_sheet(vessel: Vessel) -> SheetVessel:
    """A vessel as the sheet takes it."""
    return SheetVessel(
        code=vessel.code,
        kind=SolutionKind(vessel.kind),
        capacity_ml=vessel.capacity_ml,
        usable_ml=vessel.usable_ml,
    )


SHEET_SUBSTANCES = {
    Substance.ALCOHOL: SheetSubstance.ALCOHOL,
    Substance.SOAP: SheetSubstance.SOAP,
    Substance.WATER: SheetSubstance.WATER,
    Substance.GEL: SheetSubstance.GEL,
}


def open_containers() -> list[StockContainer]:
    """Opened containers with something in them, oldest first."""
    return list(
        StockContainer.objects.filter(
            opened_on__isnull=False, retired_at__isnull=True, left_ml__gt=0
        )
        .select_related("chemical")
        .order_by("opened_on", "pk")
    )


def shelf_for_sheet(
    *, on: date
) -> tuple[tuple[SheetContainer, ...], tuple[SheetDispenser, ...]]:
    """Open containers and dispensers as the sheet takes them."""
    stock = tuple(
        container_for_sheet(container, on=on)
        for container in open_containers()
        if container.chemical.substance in SHEET_SUBSTANCES
    )
    dispensers = tuple(
        dispenser_for_sheet(known) for known in Dispenser.objects.filter(in_use=True)
    )
    return stock, dispensers


def container_for_sheet(container: StockContainer, *, on: date) -> SheetContainer:
    """A container as the sheet takes it; its own strength wins over the product's."""
    own = container.strength_pct is not None
    strength = container.strength_pct if own else container.chemical.strength_pct
    basis = container.strength_basis if own else container.chemical.strength_basis
    return SheetContainer(
        code=container.code,
        substance=SHEET_SUBSTANCES[Substance(container.chemical.substance)],
        strength_pct=strength,
        basis=Basis(basis) if basis else None,
        left_ml=container.left_ml,
        opened_days=(on - container.opened_on).days if container.opened_on else None,
        expires_in_days=(
            (container.expires_on - on).days if container.expires_on else None
        ),
        lot=container.lot,
    )


def dispenser_for_sheet(known: Dispenser) -> SheetDispenser:
    """A dispenser as the sheet takes it; a dropper counts only when calibrated."""
    if known.form == Dispenser.Form.DROPPER and known.drop_ml:
        return SheetDispenser(
            name=known.name,
            kind=DispenserKind.DROPPER,
            graduation_ml=known.drop_ml,
            error_ml=known.drop_spread_ml or 0.0,
            calibrated=True,
        )
    return SheetDispenser(
        name=known.name,
        kind=DispenserKind(known.form),
        graduation_ml=known.graduation_ml,
        error_ml=known.error_ml,
        capacity_ml=known.capacity_ml,
    )


SHEET_WATER = {
    WaterTest.Source.TAP: WaterSource.TAP,
    WaterTest.Source.FILTERED: WaterSource.FILTERED,
    WaterTest.Source.REVERSE_OSMOSIS: WaterSource.FILTERED,
    WaterTest.Source.DEIONISED: WaterSource.DISTILLED,
    WaterTest.Source.DISTILLED: WaterSource.DISTILLED,
}


def last_water_test() -> WaterTest | None:
    """The newest water test."""
    return WaterTest.objects.first()


def water_for_sheet(*, on: date) -> Water:
    """The water as the sheet takes it; unknown where there is no test."""
    test = last_water_test()
    if test is None:
        return Water()
    return Water(
        source=SHEET_WATER[WaterTest.Source(test.source)],
        tds_mg_per_l=test.tds_mg_per_l,
        hardness_mg_per_l=test.hardness_mg_per_l,
        tested_days_ago=(on - test.tested_on).days,
    )


def facts_of(sheet: MixingSheet) -> dict[str, object]:
    """A sheet as an order keeps it."""
    return sheet_to_json(sheet)


def sheet_of(facts: Mapping[str, object]) -> MixingSheet:
    """The sheet that an order kept."""
    return sheet_from_json(facts)


def solution_of(batch: Batch) -> SolutionSheet:
    """What really stands in the vessels of a batch, with every figure."""
    return solution_from_json(batch.facts)


def clean_vessels(kind: str) -> list[Vessel]:
    """Vessels of a kind that may be filled."""
    return list(
        Vessel.objects.filter(kind=kind, retired=False, state=Vessel.State.CLEAN)
    )


def open_fill(vessel: Vessel) -> Fill | None:
    """What a vessel holds now."""
    return vessel.fills.filter(emptied_at__isnull=True).select_related("batch").first()


def is_emptied(batch: Batch) -> bool:
    """Whether no vessel holds anything of a batch any more."""
    return not batch.fills.filter(emptied_at__isnull=True).exists()
