"""Facts of the register of chemicals: what stands where, against which limit."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from django.utils import timezone

from jobs.air.shop_queries import RegisterRow, register
from jobs.papers.facts import Json, ShopFacts, said, shop_facts, to_json
from mixing.air.hazard_queries import shelf_check
from mixing.rule_sets.queries import rules_of
from mixing.safety.states import SafetyLine
from shopapp.models import the_shop

NUMBER = "REGISTER"


@dataclass(frozen=True, kw_only=True)
class Held:
    """A container; state is that of its size, or "" where nothing limits it."""

    code: str
    product: str
    lot: str
    category: int | None
    codes: str
    left_l: float
    capacity_l: float
    material: str
    approved: bool | None
    sheet_on: date | None
    has_file: bool
    state: str
    limit: str


@dataclass(frozen=True, kw_only=True)
class PlaceFacts:
    """A cabinet, shelf or room, its fire area, and what stands there."""

    name: str
    form: str
    fire_area: str
    held: tuple[Held, ...]


@dataclass(frozen=True, kw_only=True)
class LimitFacts:
    """A sum of a place against its limit."""

    state: str
    sentence: str
    source: str


@dataclass(frozen=True, kw_only=True)
class RegisterFacts:
    """The register."""

    shop: ShopFacts
    day_on: date
    state: str
    places: tuple[PlaceFacts, ...]
    sums: tuple[LimitFacts, ...]
    to_enter: tuple[str, ...]
    rules: str
    local_code: str
    fire_official: str
    sewer_authority: str


def register_facts(*, at: datetime) -> Json:
    """The stock as it stands, by place, with its limits."""
    shop = the_shop()
    rules = rules_of(shop)
    check = shelf_check(rules)
    sizes = {
        line.key.removeprefix("size:"): line
        for line in check.lines
        if line.key.startswith("size:")
    }
    sums = [line for line in check.lines if not line.key.startswith("size:")]
    return to_json(
        RegisterFacts(
            shop=shop_facts(shop),
            day_on=timezone.localtime(at, shop.zone).date(),
            state=check.state.value,
            places=tuple(_places(register(shop), sizes)),
            sums=tuple(_sum(line) for line in sums),
            to_enter=tuple(said(need.sentence) for need in check.to_enter),
            rules=rules.named,
            local_code=shop.local_code,
            fire_official=shop.fire_official,
            sewer_authority=shop.sewer_authority,
        )
    )


def _places(rows: list[RegisterRow], sizes: dict[str, SafetyLine]) -> list[PlaceFacts]:
    found: dict[int | None, list[RegisterRow]] = {}
    for row in rows:
        found.setdefault(row.container.spot_id, []).append(row)
    places = []
    for together in found.values():
        spot = together[0].container.spot
        places.append(
            PlaceFacts(
                name=spot.name if spot else "",
                form=spot.get_form_display() if spot else "",
                fire_area=spot.fire_area if spot else "",
                held=tuple(_held(row, sizes[row.container.code]) for row in together),
            )
        )
    return places


def _held(row: RegisterRow, line: SafetyLine) -> Held:
    container, chemical = row.container, row.container.chemical
    return Held(
        code=container.code,
        product=chemical.name,
        lot=container.lot,
        category=row.category,
        codes=chemical.hazard_codes,
        left_l=container.left_ml / 1000,
        capacity_l=container.capacity_ml / 1000,
        material=container.get_material_display(),
        approved=container.approved,
        sheet_on=chemical.sheet_dated,
        has_file=chemical.sheet_file_id is not None,
        state=line.state.value if line.state and row.category != 0 else "",
        limit=str(line.source) if row.category != 0 else "",
    )


def _sum(line: SafetyLine) -> LimitFacts:
    return LimitFacts(
        state=line.state.value if line.state else "",
        sentence=said(line.sentence),
        source=line.source,
    )
