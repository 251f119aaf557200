"""Reads of the bottle's path that pages and the car's path share."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime

from django.core.files.base import File
from django.db.models import F, Prefetch

from mixing.advice import water_note
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
from mixing.parts import MixingSheet, SolutionSheet, WaterNote
from mixing.previews import RecipePreview, preview_of
from mixing.recipes import RecipeSpec, SolutionKind, trade_recipe
from mixing.request import (
    Basis,
    Conditions,
    SheetRequest,
    Water,
    WaterSource,
)
from mixing.request import StockContainer as SheetContainer
from mixing.request import Vessel as SheetVessel
from mixing.scanning import codes_in_photo
from mixing.stored import (
    recipe_from_json,
    sheet_from_json,
    sheet_to_json,
    solution_from_json,
)
from shopapp.models import the_shop
from shopapp.say import Say, say


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


def rooms_of(codes: Iterable[str]) -> dict[str, float]:
    """What vessels hold to the brim, by code, mL."""
    known = Vessel.objects.filter(code__in=list(codes))
    return dict(known.values_list("code", "capacity_ml"))


def open_fill(vessel: Vessel) -> Fill | None:
    """What a vessel holds now."""
    return vessel.fills.filter(emptied_at__isnull=True).select_related("batch").first()


def is_emptied(batch: Batch) -> bool:
    """Whether no vessel holds anything of a batch any more."""
    return not batch.fills.filter(emptied_at__isnull=True).exists()


@dataclass(frozen=True, kw_only=True)
class Scanned:
    """What a photo showed: a vessel of this shop, or why none."""

    vessel: Vessel | None = None
    problem: Say | None = None


def vessels_in_photo(photo: File[bytes]) -> Scanned:
    """The vessel whose label is in a photo."""
    photo.seek(0)
    codes = codes_in_photo(photo.read())
    if codes is None:
        return Scanned(
            problem=say("This file is not a photo. Take a JPEG, PNG or WebP.")
        )
    if not codes:
        return Scanned(
            problem=say(
                "No code is to be seen in this photo. Hold it closer and flat, or type "
                "the code."
            )
        )
    vessel = Vessel.objects.filter(code__in=codes, retired=False).first()
    if vessel is None:
        return Scanned(
            problem=say(
                "The code {code} belongs to no vessel here. Read the label again.",
                code=codes[0][:40],
            )
        )
    return Scanned(vessel=vessel)


def vessels_by_kind() -> list[tuple[str, list[Vessel]]]:
    """Vessels in use with what they hold, kind by kind."""
    rows = Vessel.objects.filter(retired=False).prefetch_related(
        Prefetch(
            "fills",
            queryset=Fill.objects.filter(emptied_at__isnull=True).select_related(
                "batch"
            ),
            to_attr="held",
        )
    )
    found: dict[str, list[Vessel]] = {kind: [] for kind in Kind.values}
    for vessel in rows:
        found[vessel.kind].append(vessel)
    return [(kind, vessels) for kind, vessels in found.items() if vessels]


def vessels_to_empty() -> list[tuple[Vessel, Fill | None]]:
    """The end-of-shift list: what is filled or not rinsed yet, with its fill."""
    return [
        (vessel, vessel.held[0] if vessel.held else None)  # type: ignore[attr-defined]
        for _kind, vessels in vessels_by_kind()
        for vessel in vessels
        if vessel.state != Vessel.State.CLEAN
    ]


def batches_in_use() -> list[Batch]:
    """Batches that still stand in a vessel, newest first."""
    return list(
        Batch.objects.filter(fills__emptied_at__isnull=True)
        .distinct()
        .select_related("mixed_by")
        .prefetch_related("fills__vessel", "order_batches__workorder")
    )


def containers_on_shelf() -> list[StockContainer]:
    """Containers on the shelf: opened ones first, oldest first."""
    return list(
        StockContainer.objects.filter(retired_at__isnull=True)
        .select_related("chemical", "spot")
        .order_by(
            "chemical__substance", F("opened_on").asc(nulls_last=True), "expires_on"
        )
    )


def recipe_preview(spec: RecipeSpec, *, on: date) -> RecipePreview:
    """One bottle by a recipe, from the stock on the shelf."""
    stock, _dispensers = shelf_for_sheet(on=on)
    return preview_of(spec, stock=stock, system=the_shop().system)


def water_note_of(*, on: date) -> WaterNote:
    """What the newest water test means."""
    spec = trade_recipe(SolutionKind.SLIP)
    return water_note(
        SheetRequest(film_area_m2=1.0, recipes=(spec,), water=water_for_sheet(on=on))
    )
