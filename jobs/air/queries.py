"""What the safety block of an order is asked: its liquids, its bay, the shelf."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import date, datetime

from django.utils import timezone

from jobs.air.prep_queries import OrderPrep, counted_prep, order_prep
from jobs.condition.reading_queries import conditions_now
from jobs.coverage.catalogue import Method, laying_min, panels
from jobs.models import OrderBatch, OrderPanel, WorkOrder
from jobs.solutions.bottle_queries import codes_in_use
from jobs.stages.queries import last_reading
from mixing.air.hazard_queries import stock_for_safety
from mixing.flash_points.queries import measurements, mix_by_recipe, mix_of
from mixing.models import Batch, Kind, Substance
from mixing.recipes.spec import SolutionKind
from mixing.rule_sets.queries import rules_of
from mixing.safety.block import SafetyBlock, safety_block
from mixing.safety.flash_measurement import FlashMeasurement, Mix, known_flash
from mixing.safety.product import ProductSheet
from mixing.safety.request import (
    Authorities,
    BayAir,
    SafetyRequest,
    SheetOnHand,
    SolutionUse,
)
from mixing.safety.rules import SafetyRules
from mixing.sheet import MixingSheet, SolutionSheet
from mixing.sheet.input_queries import open_containers
from mixing.shelf.data_sheet_queries import (
    SoapSheet,
    gel_sheet,
    sheet_on_hand,
    soap_sheet,
)
from shopapp.models import Bay, Shop, the_shop

SOAP_ML_PER_L_PER_PCT = 10.0
"""Soap of about the density of water: 10 mL in a litre is 1 % by mass."""


def block_of(
    order: WorkOrder,
    *,
    sheet: MixingSheet | None,
    at: datetime,
    prep: OrderPrep | None = None,
) -> tuple[SafetyBlock, SafetyRequest]:
    """The safety block of an order as things stand, and what it was asked."""
    request = safety_request(order, sheet=sheet, at=at, prep=prep)
    return safety_block(request), request


def safety_request(
    order: WorkOrder,
    *,
    sheet: MixingSheet | None,
    at: datetime,
    prep: OrderPrep | None = None,
) -> SafetyRequest:
    """The request; what nobody has entered stays None and is named by the block.

    prep  as order_prep has it, where the page has read it already
    """
    shop, reading = the_shop(), last_reading(order)
    if prep is None:
        prep = order_prep(order, rules=rules_of(shop))
    rules = prep.rules
    today = timezone.localtime(at, shop.zone).date()
    return SafetyRequest(
        solutions=tuple(_solutions(order, sheet, rules=rules)),
        prep=counted_prep(prep, rules=rules),
        bay=bay_air(order.bay) if order.bay else None,
        limit_ppm=float(shop.vapour_limit_ppm),
        limit_name="the shop's limit",
        own_short_limit_ppm=shop.vapour_short_limit_ppm,
        session_min=session_min(order.panels.all()),
        air_c=reading.air_c if reading else None,
        # Aired down to the shop's own limit, which lies far below the explosive one.
        heat_target_ppm=float(shop.vapour_limit_ppm),
        stock=stock_for_safety(rules),
        rules=rules,
        sheets=sheets_of(prep, today=today),
        authorities=authorities_of(shop),
        today=today,
        height_m=prep.wipe.settings.height_m,
        surface_c=conditions_now(order).panel_c,
        lacks_remover=prep.lacks_remover,
    )


def bay_air(bay: Bay) -> BayAir:
    """The air of a bay as it was measured."""
    basis = {Bay.FactorBasis.K: "K", Bay.FactorBasis.EFFICIENCY: "efficiency"}
    return BayAir(
        name=bay.name,
        volume_m3=bay.volume_m3,
        exhaust_m3_per_h=bay.exhaust_m3_per_h,
        measured_on=bay.exhaust_measured_on,
        method=bay.exhaust_method,
        mixing_value=bay.mixing_factor,
        mixing_basis=basis[Bay.FactorBasis(bay.mixing_factor_basis)]
        if bay.mixing_factor_basis
        else None,
    )


def authorities_of(shop: Shop) -> Authorities:
    """Who decides locally, as far as the shop has entered it."""
    return Authorities(
        code=shop.local_code.strip() or None,
        fire_official=shop.fire_official.strip() or None,
        sewer=shop.sewer_authority.strip() or None,
        rinse_water=shop.rinse_water.strip() or None,
    )


def sheets_of(prep: OrderPrep, *, today: date) -> tuple[SheetOnHand, ...]:
    """Data sheets of what is mixed from and wiped with on the order."""
    used = {
        container.chemical.pk: container.chemical
        for container in open_containers()
        if container.chemical.substance != Substance.WATER
    }
    wiped_with = [use.chemical for use in prep.entries]
    if not prep.is_wiped and not prep.none_used:
        wiped_with.append(prep.wipe.chemical)
    used |= {each.pk: each for each in wiped_with if each is not None}
    return tuple(sheet_on_hand(each, today=today) for each in used.values())


SHIFT_MIN = 480.0


def session_min(laid: Iterable[OrderPanel]) -> float | None:
    """Minutes in the bay: all panels one after the other; None without panels.

    A job of several days is taken as sprayed within one shift: the careful side.
    """
    known = panels()
    minutes = [
        laying_min(known[panel.panel], method=Method(panel.method)).value
        for panel in laid
        if panel.struck_off_at is None
    ]
    return min(sum(minutes), SHIFT_MIN) or None


def _solutions(
    order: WorkOrder, sheet: MixingSheet | None, *, rules: SafetyRules
) -> list[SolutionUse]:
    """What is sprayed: every bottle as it was mixed, the rest as the sheet has it.

    A bottle of an earlier round that still stands counts beside the plan: where they
    differ both are named, and the graver one decides.
    """
    soap, measured = soap_sheet(), measurements()
    gel = gel_sheet(rules=rules)
    planned = sheet.by_kind if sheet else {}
    found: list[tuple[str, SolutionUse]] = []
    mixed, standing_l = set(), dict.fromkeys(Kind.values, 0.0)
    for tie, name in _named_ties(order):
        kind, plan = tie.batch.kind, planned.get(tie.batch.kind)
        use = _of_batch(tie.batch, name=name, soap=soap, gel=gel)
        if tie.round == order.round:
            mixed.add(kind)
        elif plan is not None:
            # Laid from first; what it does not reach is still to be mixed.
            left = max(0.0, plan.needed.value / 1000 - standing_l[kind])
            use = replace(use, litres=min(tie.batch.volume_ml / 1000, left))
            standing_l[kind] += use.litres or 0.0
        found.append((kind, _with_flash(use, mix_of(tie.batch), measured)))
    for kind, solution in planned.items():
        if kind not in mixed and solution.refusal is None:
            assert sheet is not None
            use = _of_sheet(solution, sheet, soap=soap, gel=gel)
            left = max(0.0, (use.litres or 0.0) - standing_l[kind])
            use = replace(use, litres=left)
            mix = _mix_of_sheet(solution, sheet)
            found.append((kind, _with_flash(use, mix, measured)))
    found.sort(key=lambda each: Kind.values.index(each[0]))
    return [use for _, use in found]


def _named_ties(order: WorkOrder) -> list[tuple[OrderBatch, str]]:
    """Batches of this round, and of earlier ones that stand, each by its own name.

    A kind that was mixed once is called by its recipe; several by their bottles too.
    """
    rows = order.order_batches.select_related("batch__recipe_version__recipe")
    newest: dict[int, OrderBatch] = {}
    for tie in rows.prefetch_related("batch__fills__vessel").order_by("round", "pk"):
        if tie.round == order.round or codes_in_use(tie.batch):
            # Used again in a later round, it is the same bottle: listed once.
            newest[tie.batch_id] = tie
    ties = list(newest.values())
    count = Counter(tie.batch.kind for tie in ties)
    named = []
    for tie in ties:
        name = tie.batch.recipe_version.recipe.name
        if count[tie.batch.kind] > 1 or tie.round != order.round:
            name = f"{name} {codes_in_use(tie.batch) or tie.batch.number}"
        named.append((tie, name))
    twice = Counter(name for _, name in named)
    # A vessel filled up over a rest holds a batch each time.
    return [
        (tie, f"{name} {tie.batch.number}" if twice[name] > 1 else name)
        for tie, name in named
    ]


def _with_flash(
    use: SolutionUse, mix: Mix, measured: Sequence[FlashMeasurement]
) -> SolutionUse:
    """With the flash point that was measured of such a mix, where one was."""
    known = known_flash(measured, mix)
    if use.vv_pct is None or known is None:
        return use
    return replace(
        use,
        flash_point_c=known.flash_point_c,
        boiling_point_c=known.boiling_point_c,
        ground=known.ground,
        flash_basis=known.basis,
    )


def _mix_of_sheet(solution: SolutionSheet, sheet: MixingSheet) -> Mix:
    recipe = sheet.request.recipe_of(solution.kind)
    strengths = [fill.strength for fill in solution.fills if fill.strength]
    if not strengths:
        return mix_by_recipe(recipe)
    return Mix(
        kind=recipe.kind.value,
        recipe=recipe.key,
        vv_pct=max(each.value for each in strengths),
        vv_high_pct=max(each.high or each.value for each in strengths),
    )


def _of_batch(
    batch: Batch, *, name: str, soap: SoapSheet, gel: ProductSheet
) -> SolutionUse:
    dose = 1000 * batch.soap_ml / batch.volume_ml if batch.volume_ml else 0.0
    return SolutionUse(
        name=name,
        vv_pct=batch.vv_pct,
        vv_low_pct=batch.vv_low_pct or None,
        vv_high_pct=batch.vv_high_pct or None,
        litres=batch.volume_ml / 1000,
        soap_mass_pct=dose / SOAP_ML_PER_L_PER_PCT,
        soap_hazards=soap.hazards,
        left_out=soap.left_out if dose else (),
        product=gel if batch.kind == Kind.GEL else None,
    )


def _of_sheet(
    solution: SolutionSheet,
    sheet: MixingSheet,
    *,
    soap: SoapSheet,
    gel: ProductSheet,
) -> SolutionUse:
    recipe = sheet.request.recipe_of(solution.kind)
    strengths = [fill.strength for fill in solution.fills if fill.strength]
    doses = [max(f.soap.value, f.soap.high or 0.0) for f in solution.fills if f.soap]
    strength = low = high = None
    if strengths:
        strength = max(each.value for each in strengths)
        low = min(each.value if each.low is None else each.low for each in strengths)
        high = max(each.value if each.high is None else each.high for each in strengths)
    elif solution.fills or not recipe.has_alcohol:
        strength = 0.0
    elif not recipe.strength_curve_on:
        # Printed ahead: the recipe's own strength, unless it follows the panel.
        strength = recipe.vv_pct
    # Before a reading nothing is dosed yet: then the most that the recipe asks for.
    soap_pct = max(doses, default=0.0) / SOAP_ML_PER_L_PER_PCT or recipe.most_soap_pct
    return SolutionUse(
        name=solution.name,
        vv_pct=strength,
        vv_low_pct=low,
        vv_high_pct=high,
        litres=solution.needed.value / 1000,
        soap_mass_pct=soap_pct,
        soap_hazards=soap.hazards,
        left_out=soap.left_out if soap_pct else (),
        product=gel if recipe.kind is SolutionKind.GEL else None,
    )
