"""Keeping a batch: pours, fills, stock; the order's own action calls this."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime, timedelta

from mixing.bench.queries import open_fills
from mixing.laying.queries import laying_settings
from mixing.laying.use_by import last_day
from mixing.models import (
    Batch,
    Dispenser,
    Fill,
    Pour,
    Reading,
    RecipeVersion,
    StockContainer,
    StockMovement,
    Substance,
    Vessel,
    WaterTest,
)
from mixing.recipes.spec import SolutionKind
from mixing.sheet.parts import SolutionSheet, VesselFill
from mixing.sheet.poured import mixed_of
from mixing.sheet.stored import solution_to_json
from shopapp.frame import Act
from shopapp.models import shop_date, shop_day, the_shop
from shopapp.numbering import numbered


@dataclass(frozen=True, kw_only=True)
class Mixing:
    """A mixing that is to be kept: as planned, as poured, and by what.

    spilt_ml  what went out again while it was set right, by container
    because   why it is kept outside its tolerance
    left_ml   what was left in vessels that are filled up over it, by code
    """

    planned: SolutionSheet
    poured: SolutionSheet
    recipe_version: RecipeVersion
    reading: Reading | None
    water: WaterTest | None
    spilt_ml: Mapping[str, float] = field(default_factory=dict)
    because: str = ""
    left_ml: Mapping[str, float] = field(default_factory=dict)


def keep_batch(
    act: Act,
    mixing: Mixing,
    *,
    vessels: Mapping[str, Vessel],
    containers: Mapping[str, StockContainer],
) -> Batch:
    """Keep a mixing as a batch, fill its vessels and draw its stock.

    The caller has locked vessels and containers and asked the rules.
    """
    batch = _create(act, mixing)
    _keep_pours(batch, mixing, containers)
    for fill in mixing.poured.fills:
        for code in fill.codes:
            _lay_over(vessels[code], left_ml=mixing.left_ml.get(code, 0.0))
            fill_vessel(batch, vessels[code], volume_ml=_volume_ml(fill))
    for draw in mixing.poured.draws:
        container = containers[draw.container]
        _take(act, batch, container, draw.amount.value, StockMovement.What.POURED)
        if out := mixing.spilt_ml.get(draw.container):
            _take(act, batch, container, out, StockMovement.What.SPILT)
    return batch


def _lay_over(vessel: Vessel, *, left_ml: float) -> None:
    """What is left in a vessel stays in it under the new filling, each by its share."""
    fills = open_fills(vessel)
    whole = sum(fill.holds_ml for fill in fills)
    shares = {fill.pk: fill.holds_ml / whole if whole else 0.0 for fill in fills}
    for fill in fills:
        fill.left_ml = left_ml * shares[fill.pk]
        fill.save(update_fields=["left_ml"])


def fill_vessel(batch: Batch, vessel: Vessel, *, volume_ml: float) -> Fill:
    """The vessel holds this batch from now on."""
    vessel.state = Vessel.State.FILLED
    vessel.save(update_fields=["state"])
    return Fill.objects.create(batch=batch, vessel=vessel, volume_ml=volume_ml)


def _create(act: Act, mixing: Mixing) -> Batch:
    result = mixed_of(mixing.poured)
    return numbered(
        lambda number: Batch.objects.create(
            number=number,
            kind=mixing.poured.kind.value,
            recipe_version=mixing.recipe_version,
            reading=mixing.reading,
            water=None if _is_gel(mixing) else mixing.water,
            volume_ml=result.volume_ml,
            vv_pct=result.vv_pct,
            vv_low_pct=result.vv_low_pct,
            vv_high_pct=result.vv_high_pct,
            soap_ml=result.soap_ml,
            kept_because=mixing.because,
            facts=solution_to_json(mixing.poured),
            mixed_by=act.by,
            mixed_at=act.now,
            use_by=_use_by(act, mixing.poured.kind),
        ),
        model=Batch,
        letter="B",
        at=act.now,
    )


def _is_gel(mixing: Mixing) -> bool:
    return mixing.poured.kind is SolutionKind.GEL


def _use_by(act: Act, kind: SolutionKind) -> datetime:
    """The last minute of the last day that the shop lets such a mix keep.

    Midnight would read as the day after.
    """
    mixed_on = shop_date(act.now)
    day = last_day(mixed_on=mixed_on, days=laying_settings().days[kind])
    return shop_day(day, zone=the_shop().zone)[1] - timedelta(minutes=1)


def _keep_pours(
    batch: Batch, mixing: Mixing, containers: Mapping[str, StockContainer]
) -> None:
    dispensers = {each.name: each for each in Dispenser.objects.all()}
    step = 0
    for planned, poured in zip(mixing.planned.fills, mixing.poured.fills, strict=True):
        for before, after in zip(planned.pours, poured.pours, strict=True):
            step += 1
            Pour.objects.create(
                batch=batch,
                step=step,
                substance=Substance(after.substance.value),
                container=containers.get(after.container),
                dispenser=dispensers.get(after.dispenser),
                planned_ml=before.amount.value,
                poured_ml=after.amount.value,
                vessels=_count(poured),
            )


def _count(fill: VesselFill) -> int:
    return len(fill.codes) or fill.count


def _volume_ml(fill: VesselFill) -> float:
    return fill.planned.value if fill.mixed is None else fill.mixed.value


def _take(
    act: Act,
    batch: Batch,
    container: StockContainer,
    amount_ml: float,
    what: StockMovement.What,
) -> None:
    container.left_ml = round(container.left_ml - amount_ml, 6)
    container.save(update_fields=["left_ml"])
    StockMovement.objects.create(
        container=container,
        what=what,
        change_ml=-amount_ml,
        batch=batch,
        by=act.by,
        at=act.now,
    )
