"""The shop's safety page: stock against limits, the week's air, what is overdue."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from django.utils import timezone

from jobs.air.week_queries import Day, week_air
from mixing.air.hazard_queries import (
    FLOW_VALID_DAYS,
    missing_duties,
    shelf_check,
    shelf_duties,
    stock_for_safety,
)
from mixing.flash_points.queries import HeldMix, RecipeFlash, held_mixes, recipe_flashes
from mixing.models import StockContainer
from mixing.rule_sets.queries import ShownRow, rule_groups, rules_of
from mixing.safety.rules import SafetyRules
from mixing.safety.states import MissingInput, SafetyLine, State, worst
from mixing.shelf.data_sheet_queries import ChemicalRow, chemical_rows
from shopapp.models import Bay, Shop


@dataclass(frozen=True, kw_only=True)
class BayFlow:
    """A bay whose flow is to be measured: never, or too long ago."""

    bay: Bay
    days: int | None


@dataclass(frozen=True, kw_only=True)
class ShopSafety:
    """Everything on the page; `state` is the worst of it."""

    state: State
    places: tuple[SafetyLine, ...]
    sizes: tuple[SafetyLine, ...]
    to_enter: tuple[MissingInput, ...]
    week: list[Day]
    mixes: list[RecipeFlash]
    held: list[HeldMix]
    duties: tuple[SafetyLine, ...]
    sheets: list[ChemicalRow]
    flows: list[BayFlow]
    has_bay: bool
    has_product: bool
    rules: SafetyRules
    rule_groups: list[tuple[str, list[ShownRow]]]
    lacking: tuple[str, ...]


def shop_safety(shop: Shop, *, now: datetime) -> ShopSafety:
    """The shop's stock, week and papers as they stand."""
    rules = rules_of(shop)
    stock = stock_for_safety(rules)
    check = shelf_check(rules, stock=stock)
    week = week_air(shop, now=now)
    mixes = recipe_flashes()
    duties = shelf_duties(rules, stock=stock, sprays=bool(mixes))
    lines = (*check.lines, *duties)
    products = chemical_rows(shop, rules=rules)
    sheets = [row for row in products if row.sheet]
    flows = _flows(shop, now=now)
    has_bay = Bay.objects.filter(retired=False).exists()
    is_size = [line.key.startswith("size:") for line in check.lines]
    return ShopSafety(
        state=worst(
            [line.state for line in lines if line.state is not None]
            + [day.state for day in week]
            + [
                State.WATCH if row.sheet == "old" else State.NOT_ASSESSED
                for row in sheets
                if row.sheet == "old" or not row.is_read
            ]
            + [State.WATCH if flow.days else State.NOT_ASSESSED for flow in flows]
            # Without a bay nothing was looked at: that is no pass.
            + ([] if has_bay else [State.NOT_ASSESSED])
        ),
        places=tuple(
            line for line, size in zip(check.lines, is_size, strict=True) if not size
        ),
        sizes=tuple(
            line for line, size in zip(check.lines, is_size, strict=True) if size
        ),
        to_enter=(*check.to_enter, *missing_duties(rules)),
        week=week,
        mixes=mixes,
        held=held_mixes(),
        duties=duties,
        sheets=sheets,
        flows=flows,
        has_bay=has_bay,
        has_product=bool(products),
        rules=rules,
        rule_groups=rule_groups(shop.jurisdiction),
        lacking=tuple(dict.fromkeys(name for day in week for name in day.line.missing)),
    )


def _flows(shop: Shop, *, now: datetime) -> list[BayFlow]:
    today = timezone.localtime(now, shop.zone).date()
    found = []
    for bay in Bay.objects.filter(retired=False):
        measured_on = bay.exhaust_measured_on
        if bay.exhaust_m3_per_h is None or measured_on is None:
            found.append(BayFlow(bay=bay, days=None))
        elif (days := (today - measured_on).days) > FLOW_VALID_DAYS:
            found.append(BayFlow(bay=bay, days=days))
    return found


@dataclass(frozen=True, kw_only=True)
class RegisterRow:
    """A container of the register with the category of what it holds."""

    container: StockContainer
    category: int | None


def register(shop: Shop) -> list[RegisterRow]:
    """Every container in the shop, by where it stands."""
    rules = rules_of(shop)
    categories = {
        row.chemical.pk: row.category for row in chemical_rows(shop, rules=rules)
    }
    rows = (
        StockContainer.objects.filter(retired_at=None)
        .select_related("chemical__sheet_file", "spot")
        .order_by("spot__fire_area", "spot__name", "code")
    )
    return [
        RegisterRow(container=row, category=categories[row.chemical_id]) for row in rows
    ]
