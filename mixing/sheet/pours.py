"""The pours of one vessel, in order, rounded to what can be read (pure).

Slip: water, then soap. Tack: alcohol, then water. All-in-one: alcohol, water, soap.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from mixing.dispensers.dosing import Substance
from mixing.recipes.spec import FillMode, RecipeSpec, SolutionKind
from mixing.sheet.balance import (
    difference,
    joined_ml,
    joined_vv_pct,
    soap_for_ml,
    stock_for_ml,
    water_beside_soap_ml,
    water_for_ml,
    water_to_mark_ml,
)
from mixing.sheet.bench import Bench, measured
from mixing.sheet.fill import VesselPlan, total_ml
from mixing.sheet.parts import Pour
from mixing.sheet.shelf import Taking
from shopapp.figures import Figure, computed, given
from shopapp.say import say


@dataclass(frozen=True, kw_only=True)
class Mix:
    """What one vessel is to hold: the inputs of its pours.

    strength  wanted, % v/v; None without alcohol
    soap      for one reference bottle, mL; None without soap
    """

    recipe: RecipeSpec
    plan: VesselPlan
    mode: FillMode
    strength: Figure | None
    soap: Figure | None
    takings: tuple[Taking, ...]
    soap_from: Taking | None = None

    @property
    def sameness(self) -> object:
        """Mixes that agree in this are poured alike while the stock holds."""
        drawn = tuple(
            (t.stock.container.code, t.left_ml if t.is_rest else None)
            for t in self.takings
        )
        soap = self.soap_from and self.soap_from.stock.container.code
        return self.plan.volume_ml, self.plan.mark_error_ml, drawn, soap

    @property
    def planned(self) -> Figure:
        """The volume aimed at."""
        where = self.plan.code or "reference bottle"
        return given(self.plan.volume_ml, "ml", f"fill of {where}")


def pours_of(mix: Mix, bench: Bench) -> tuple[Pour, ...]:
    """The pours of one vessel in order. Raises CannotPourError."""
    planned = mix.planned
    if mix.recipe.kind is SolutionKind.GEL:
        return tuple(_gel(mix, bench, planned))
    soap = _soap_target(mix, planned)
    finished = planned
    if soap is not None and mix.mode is FillMode.MARK:
        # The soap goes in last, above the mark.
        finished = computed(total_ml, "ml", each_ml=planned, vessels=1, others_ml=soap)
    pours = _alcohol(mix, bench, finished)
    water = _water(mix, bench, planned, pours, soap)
    if water is not None:
        pours.append(water)
    if soap is not None:
        pours += _soap(mix, bench, soap, step=len(pours) + 1)
    return tuple(pours)


def joined_stock(stock: Sequence[Pour]) -> tuple[Figure, Figure] | None:
    """Volume and strength of all alcohol poured; None without alcohol."""
    if not stock:
        return None
    first, *others = [(p.amount, p.strength) for p in stock if p.strength is not None]
    for ml, vv in others:
        inputs = {
            "first_ml": first[0],
            "first_vv_pct": first[1],
            "second_ml": ml,
            "second_vv_pct": vv,
        }
        first = (
            computed(joined_ml, "ml", **inputs),
            computed(joined_vv_pct, "vv_pct", **inputs),
        )
    return first


def _soap_target(mix: Mix, planned: Figure) -> Figure | None:
    if mix.soap is None:
        return None
    reference = mix.recipe.reference_ml
    return computed(
        soap_for_ml,
        "dose_ml",
        soap_ml=mix.soap,
        volume_ml=planned,
        reference_ml=given(reference, "ml", f"recipe {mix.recipe.key}"),
    )


def _alcohol(mix: Mix, bench: Bench, finished: Figure) -> list[Pour]:
    if mix.strength is None:
        return []
    pours: list[Pour] = []
    poured = 0.0
    for taking in mix.takings:
        vv = taking.stock.vv
        if taking.is_rest:
            code = taking.stock.container.code
            target = given(taking.left_ml, "ml", f"left in {code}")
        else:
            target = computed(
                stock_for_ml,
                "ml",
                volume_ml=finished,
                vv_pct=mix.strength,
                stock_vv_pct=vv,
                alcohol_ml=given(poured, "ml", "alcohol already poured"),
            )
        whole = finished.value * mix.strength.value / vv.value
        # Alcohol and water share the tolerance of the strength; a part of the alcohol
        # may be off by more of itself.
        tolerance = mix.recipe.strength_tolerance_pct / 2 * whole
        pour = measured(
            Substance.ALCOHOL,
            target,
            vessel=mix.plan.code,
            bench=bench,
            tolerance_pct=tolerance / max(target.value, 1e-9),
            taking=taking,
            optional=bool(pours),
            step=len(pours) + 1,
        )
        if pour is not None:
            pours.append(pour)
            poured += pour.amount.value * vv.value / 100
    return pours


def _water(
    mix: Mix,
    bench: Bench,
    planned: Figure,
    stock: Sequence[Pour],
    soap: Figure | None,
) -> Pour | None:
    if mix.mode is FillMode.MARK:
        return _water_to_mark(mix, planned, stock)
    if mix.strength is None or not stock:
        target = computed(
            water_beside_soap_ml,
            "ml",
            volume_ml=planned,
            soap_ml=given(0.0, "dose_ml", "no soap") if soap is None else soap,
        )
        tolerance = mix.recipe.soap_tolerance_pct / 2
    else:
        joined = joined_stock(stock)
        assert joined is not None
        inputs = {} if soap is None else {"soap_ml": soap}
        target = computed(
            water_for_ml,
            "ml",
            volume_ml=planned,
            vv_pct=mix.strength,
            stock_vv_pct=joined[1],
            **inputs,
        )
        tolerance = mix.recipe.strength_tolerance_pct / 2
    return measured(
        Substance.WATER,
        target,
        vessel=mix.plan.code,
        bench=bench,
        tolerance_pct=tolerance,
        taking=None,
        # A stock that is already as weak as the target takes no water.
        optional=mix.strength is not None,
        step=len(stock) + 1,
    )


def _water_to_mark(mix: Mix, planned: Figure, stock: Sequence[Pour]) -> Pour:
    error = mix.plan.mark_error_ml
    joined = joined_stock(stock)
    if joined is None:
        target = planned
    else:
        target = computed(
            water_to_mark_ml,
            "ml",
            stock_ml=joined[0],
            stock_vv_pct=joined[1],
            volume_ml=planned,
        )
    mark = replace(
        planned,
        low=planned.value - error,
        high=planned.value + error,
        note=f"the mark; it can be met to {error:g} mL",
    )
    return Pour(
        step=len(stock) + 1,
        substance=Substance.WATER,
        target=target,
        amount=mark,
        to_mark=True,
        dispenser="",
        dispenser_kind=None,
        graduation=None,
        fills=1,
        container="",
        lot="",
        strength=None,
        how=say(
            "Fill with water up to the {mark} mark: it takes about {water}.",
            mark=mark,
            water=target,
        ),
    )


def _soap(mix: Mix, bench: Bench, target: Figure, *, step: int) -> list[Pour]:
    pour = measured(
        Substance.SOAP,
        target,
        vessel=mix.plan.code,
        bench=bench,
        tolerance_pct=mix.recipe.soap_tolerance_pct,
        taking=mix.soap_from,
        step=step,
    )
    return [] if pour is None else [pour]


def _gel(mix: Mix, bench: Bench, planned: Figure) -> list[Pour]:
    pours: list[Pour] = []
    target = planned
    for taking in mix.takings or (None,):
        wanted = target
        if taking is not None and taking.is_rest:
            code = taking.stock.container.code
            wanted = given(taking.left_ml, "ml", f"left in {code}")
        pour = measured(
            Substance.GEL,
            wanted,
            vessel=mix.plan.code,
            bench=bench,
            tolerance_pct=mix.recipe.soap_tolerance_pct,
            taking=taking,
            optional=bool(pours),
            step=len(pours) + 1,
        )
        if pour is not None:
            pours.append(pour)
            target = computed(difference, "ml", this=pour.amount, other=target)
    return pours
