"""The shelf as the safety room looks at it, and that room's door for the car's path."""

from __future__ import annotations

from dataclasses import dataclass, replace

from mixing.bench.hazard_queries import CONTAINER_KINDS, vessels_for_safety
from mixing.models import StockContainer, StorageSpot
from mixing.safety.duty_lines import duty_lines, duty_needs
from mixing.safety.releases import ISOPROPANOL, Solvent, solvent
from mixing.safety.rules import AIR_8H, SafetyRules
from mixing.safety.states import (
    MissingInput,
    SafetyLine,
)
from mixing.safety.stock_check import StockCheck, stock_check
from mixing.safety.storage import (
    Location,
)
from mixing.safety.storage import Place as SafetyPlace
from mixing.safety.storage import StockContainer as SafetyContainer
from mixing.safety.ventilation import effective_flow_m3_per_h, mixing_factor_from
from mixing.shelf.data_sheet_queries import (
    flammable_category_of,
)
from mixing.tables import Row, table
from shopapp.figures import Figure, computed
from shopapp.models import Bay, Shop

FLOW_VALID_DAYS = 365


def stock_for_safety(rules: SafetyRules) -> tuple[SafetyContainer, ...]:
    """Every container on the shelf, and every bottle that may hold what burns."""
    rows = StockContainer.objects.filter(retired_at__isnull=True).select_related(
        "chemical", "spot"
    )
    shelf = tuple(
        SafetyContainer(
            name=row.code,
            category=flammable_category_of(row.chemical, rules=rules, container=row),
            size_l=row.capacity_ml / 1000,
            kind=CONTAINER_KINDS.get(StockContainer.Material(row.material))
            if row.material
            else None,
            location=_location(row.spot),
            listed=row.approved,
            is_glass=row.material == StockContainer.Material.GLASS,
            metal_would_spoil=row.metal_spoils,
        )
        for row in rows
    )
    taken = {container.name for container in shelf}
    bottles = vessels_for_safety(rules)
    return shelf + tuple(
        replace(each, name=f"bottle {each.name}") if each.name in taken else each
        for each in bottles
    )


def _location(spot: StorageSpot | None) -> Location | None:
    if spot is None:
        return None
    if spot.form == StorageSpot.Form.CABINET:
        return Location(place=SafetyPlace.CABINET, name=spot.name)
    if spot.form == StorageSpot.Form.ROOM:
        return Location(place=SafetyPlace.ROOM, name=spot.name)
    area = spot.fire_area.strip()
    return Location(place=SafetyPlace.OUTSIDE, name=area) if area else None


def known_limits(rules: SafetyRules) -> list[Row]:
    """8-hour limits for alcohol vapour, each with its source.

    The published ones beside the federal example; of a set of the shop's own what it
    says itself.
    """
    if rules.is_example:
        rows = table("exposure_limits")
        short = {row["name"]: row["limit_ppm"] for row in rows}
        return [
            {**row, "short_ppm": short.get(f"{row['name']} short", "")}
            for row in rows
            if row["period"] == "8 h"
        ]
    own = rules.limit(AIR_8H)
    if own.value is None:
        return []
    return [
        {
            "name": own.paragraph,
            "jurisdiction": rules.named,
            "limit_ppm": f"{own.value:g}",
            "source": own.source,
        }
    ]


def shelf_duties(
    rules: SafetyRules, *, stock: tuple[SafetyContainer, ...], sprays: bool
) -> tuple[SafetyLine, ...]:
    """What is done at the shelf and the mixing point, for what is held."""
    return duty_lines(stock=stock, sprays=sprays, rules=rules.storage)


def missing_duties(rules: SafetyRules) -> tuple[MissingInput, ...]:
    """The instructions that the set lacks."""
    return duty_needs(rules.storage)


def shelf_check(
    rules: SafetyRules, *, stock: tuple[SafetyContainer, ...] | None = None
) -> StockCheck:
    """Every container and place of the shelf against the rules."""
    held = stock_for_safety(rules) if stock is None else stock
    return stock_check(containers=held, rules=rules.storage)


@dataclass(frozen=True, kw_only=True)
class BayRow:
    """A bay with its mixing factor as K, and the flow that works as mixed air."""

    bay: Bay
    factor: float | None
    effective: Figure | None


def bay_rows() -> list[BayRow]:
    """The bays, those in use first."""
    return [_bay_row(bay) for bay in Bay.objects.order_by("retired", "position", "pk")]


def _bay_row(bay: Bay) -> BayRow:
    if bay.mixing_factor is None or not bay.mixing_factor_basis:
        return BayRow(bay=bay, factor=None, effective=None)
    basis = "K" if bay.mixing_factor_basis == Bay.FactorBasis.K else "efficiency"
    factor = mixing_factor_from(value=bay.mixing_factor, basis=basis)
    flow = bay.exhaust_m3_per_h
    if flow is None:
        return BayRow(bay=bay, factor=factor, effective=None)
    effective = computed(
        effective_flow_m3_per_h,
        "m3_per_h",
        flow_m3_per_h=flow,
        mixing_factor=factor,
    )
    return BayRow(bay=bay, factor=factor, effective=effective)


def alcohol_of(shop: Shop, *, rules: SafetyRules) -> Solvent:
    """Isopropyl alcohol with the lower of the shop's limit and that of its rules."""
    own, by_rule = float(shop.vapour_limit_ppm), rules.limit(AIR_8H)
    held = None if by_rule.missing else min(own, by_rule.value or own)
    return solvent(name=ISOPROPANOL.name, limit_ppm=held)
