"""What a sheet is made from: reading, vessels, shelf, water, the shop's own ways."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from mixing.climate.air import dew_point_c
from mixing.climate.drying import Patch
from mixing.climate.panel import measure_again_min
from mixing.dispensers.dosing import Dispenser as SheetDispenser
from mixing.dispensers.dosing import DispenserKind
from mixing.dispensers.dosing import Substance as SheetSubstance
from mixing.models import (
    BenchSettings,
    Dispenser,
    Reading,
    StockContainer,
    Substance,
    Vessel,
    WaterTest,
)
from mixing.recipes.spec import FillMode, SolutionKind, trade_recipe
from mixing.sheet.advice import water_note
from mixing.sheet.bench_settings import BenchFacts
from mixing.sheet.parts import WaterNote
from mixing.sheet.request import (
    Basis,
    Conditions,
    SheetRequest,
    Water,
    WaterSource,
)
from mixing.sheet.request import StockContainer as SheetContainer
from mixing.sheet.request import Vessel as SheetVessel
from mixing.tables import table
from shopapp.figures import Figure, computed, given
from shopapp.once import once_a_page


def dew_point_of(reading: Reading) -> float:
    """Dew point of a reading, °C."""
    return dew_point_c(air_c=reading.air_c, rh_pct=reading.rh_pct)


@dataclass(frozen=True, kw_only=True)
class MeasureAgain:
    """A panel that came in cold or hot: when it is worth measuring again."""

    after: Figure
    at: datetime
    is_cold: bool


def measure_again(reading: Reading | None) -> MeasureAgain | None:
    """When to measure the panel of a reading again, or None where it is settled."""
    if reading is None or reading.panel_c is None:
        return None
    minutes = measure_again_min(panel_c=reading.panel_c, bay_c=reading.air_c)
    if not minutes:
        return None
    after = computed(
        measure_again_min,
        "min",
        panel_c=given(reading.panel_c, "degc", "reading: panel"),
        bay_c=given(reading.air_c, "degc", "reading: air"),
    )
    return MeasureAgain(
        after=after,
        at=reading.taken_at + timedelta(minutes=math.ceil(minutes)),
        is_cold=reading.panel_c < reading.air_c,
    )


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


@once_a_page
def open_containers() -> tuple[StockContainer, ...]:
    """Opened containers with something in them, oldest first."""
    return tuple(
        StockContainer.objects.filter(
            opened_on__isnull=False, retired_at__isnull=True, left_ml__gt=0
        )
        .select_related("chemical")
        .order_by("opened_on", "pk")
    )


def shelf_for_sheet(
    *, on: date
) -> tuple[tuple[SheetContainer, ...], tuple[SheetDispenser, ...]]:
    """Open containers and dispensers as the sheet takes them.

    Where all of a substance is used up, the one emptied last stands for it, so that
    the sheet says so.
    """
    held = open_containers()
    stock = tuple(
        container_for_sheet(container, on=on)
        for container in (*held, *_used_up(held))
        if container.chemical.substance in SHEET_SUBSTANCES
    )
    dispensers = tuple(
        dispenser_for_sheet(known) for known in Dispenser.objects.filter(in_use=True)
    )
    return stock, dispensers


def _used_up(held: Iterable[StockContainer]) -> list[StockContainer]:
    """The last empty container of each substance of which nothing is open."""
    empty = (
        StockContainer.objects.filter(
            opened_on__isnull=False, retired_at__isnull=True, left_ml=0
        )
        .exclude(chemical__substance__in={c.chemical.substance for c in held})
        .select_related("chemical")
        .order_by("opened_on", "pk")
    )
    return list({each.chemical.substance: each for each in empty}.values())


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


SET_WITH = {
    "water_with": SheetSubstance.WATER,
    "alcohol_with": SheetSubstance.ALCOHOL,
    "soap_with": SheetSubstance.SOAP,
    "gel_with": SheetSubstance.GEL,
}
"""The setting that names a dispenser for a substance."""


@once_a_page
def newest_bench_settings() -> BenchSettings | None:
    """The settings of the bench that count now."""
    return BenchSettings.objects.select_related(*SET_WITH).first()


def bench_facts() -> BenchFacts:
    """How the shop mixes, as the sheet takes it."""
    row = newest_bench_settings()
    if row is None:
        return BenchFacts()
    chosen = {what: getattr(row, name) for name, what in SET_WITH.items()}
    return BenchFacts(
        fill_mode=FillMode(row.fill_mode),
        dispensers={
            what: dispenser.name
            for what, dispenser in chosen.items()
            if dispenser is not None and dispenser.in_use
        },
        patch=patch_of(row),
    )


def patch_of(row: BenchSettings) -> Patch | None:
    """The shop's own test of the open time, or None."""
    minutes, panel_c = row.patch_min, row.patch_panel_c
    air_c, rh_pct = row.patch_air_c, row.patch_rh_pct
    if minutes is None or panel_c is None or air_c is None or rh_pct is None:
        return None
    return Patch(minutes=minutes, air_c=air_c, rh_pct=rh_pct, panel_c=panel_c)


SHEET_WATER = {
    WaterTest.Source.TAP: WaterSource.TAP,
    WaterTest.Source.FILTERED: WaterSource.FILTERED,
    WaterTest.Source.REVERSE_OSMOSIS: WaterSource.REVERSE_OSMOSIS,
    WaterTest.Source.DEIONISED: WaterSource.DEIONISED,
    WaterTest.Source.DISTILLED: WaterSource.DISTILLED,
}


@once_a_page
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


def water_note_of(*, on: date) -> WaterNote:
    """What the newest water test means."""
    spec = trade_recipe(SolutionKind.SLIP)
    return water_note(
        SheetRequest(film_area_m2=1.0, recipes=(spec,), water=water_for_sheet(on=on))
    )


@dataclass(frozen=True, kw_only=True)
class Band:
    """A published class of water; `upto` is empty for the last one."""

    name: str
    upto: str
    source: str


def water_bands(name: str) -> list[Band]:
    """The published classes of "hardness" or "solids"."""
    bound = {"hardness": "up_to_mg_per_l", "solids": "below_mg_per_l"}[name]
    return [
        Band(
            name=row["class"],
            upto="" if row[bound] == "inf" else row[bound],
            source=row["source"],
        )
        for row in table(f"water_{name}")
    ]
