"""The solutions of an order's sheet, one card each; once mixed, as it was poured."""

from __future__ import annotations

from dataclasses import dataclass

from jobs.models import OrderBatch, OrderSheet, OrderSolution, WorkOrder
from mixing.models import Kind
from mixing.sheet import (
    MixingSheet,
    SheetRequest,
    SolutionKind,
    SolutionSheet,
    Substance,
    Use,
    UseRate,
    pour_changes,
    soap_to_add,
    together,
)
from mixing.sheet.queries import sheet_of, solution_of
from shopapp.figures import Figure
from shopapp.once import once_a_page
from shopapp.say import Say


@dataclass(frozen=True, kw_only=True)
class SolutionCard:
    """One solution on the order's sheet; once mixed, as it was poured.

    changed  what a mixing by the newest reading would pour otherwise, and what to
             add to the bottles that stand
    rate     the shop's own use, where it has learned one
    """

    kind: str
    label: str
    solution: SolutionSheet
    state: str
    ties: tuple[OrderBatch, ...]
    changed: tuple[Say, ...] = ()
    rate: UseRate | None = None

    @property
    def usual_use(self) -> Figure | None:
        """What a new shop starts with, where this one has learned its own."""
        if self.rate is None or self.rate.learned is None:
            return None
        return dict(self.rate.learned.inputs)["default"]  # type: ignore[return-value]

    @property
    def is_open(self) -> bool:
        """Whether it is still to be mixed or struck off."""
        return self.state == OrderSolution.State.WAITING

    @property
    def is_settled(self) -> bool:
        """Whether it is mixed or not needed: how it is poured may fold away."""
        return bool(self.ties) or self.state == OrderSolution.State.NOT_NEEDED

    @property
    def needs_reading(self) -> bool:
        """Whether its pours wait for a reading."""
        return not self.solution.fills and self.solution.refusal is None


@once_a_page
def kept_sheet(row: OrderSheet) -> MixingSheet:
    """The sheet that an order kept; none is ever changed."""
    return sheet_of(row.facts)


def solution_cards(
    workorder: WorkOrder, sheet: MixingSheet, request: SheetRequest
) -> tuple[SolutionCard, ...]:
    """The solutions of a sheet, what is mixed of them standing in its place.

    request  as things stand now
    """
    states = {
        solution.kind: solution.state
        for solution in workorder.solutions.filter(round=workorder.round)
    }
    rates = sheet.request.use_rates
    ties = list(
        workorder.order_batches.filter(round=workorder.round)
        .select_related("batch__mixed_by", "sheet")
        .prefetch_related("batch__fills__vessel")
    )
    return tuple(
        _card(
            solution,
            state=states.get(solution.kind.value, _usual_state(solution)),
            ties=tuple(t for t in ties if t.batch.kind == solution.kind.value),
            sheet=sheet,
            request=request,
            rate=next((r for r in rates if r.kind is solution.kind), None),
        )
        for solution in sheet.solutions
    )


def _card(
    proposed: SolutionSheet,
    *,
    state: str,
    ties: tuple[OrderBatch, ...],
    sheet: MixingSheet,
    request: SheetRequest,
    rate: UseRate | None,
) -> SolutionCard:
    solution = proposed
    changed: tuple[Say, ...] = ()
    if ties:
        batches = [solution_of(tie.batch) for tie in ties]
        recipe = sheet.request.recipe_of(proposed.kind)
        solution = together(batches, planned=proposed, recipe=recipe)
    # Over the limit nothing is mixed or added: that stands above all cards.
    if ties and request.limits.allows_mixing(request.conditions.panel_c):
        changed = (
            *_pours_otherwise(ties[-1], request),
            *soap_to_add(
                batches,
                recipe=recipe,
                warmer=sheet.climate.warmer,
                held=_held(ties),
                filled_up=_filled_up(ties),
            ),
        )
    return SolutionCard(
        kind=proposed.kind.value,
        label=Kind(proposed.kind.value).label,
        solution=solution,
        state=state,
        ties=ties,
        changed=changed,
        rate=rate,
    )


def _pours_otherwise(tie: OrderBatch, request: SheetRequest) -> tuple[Say, ...]:
    """What a mixing now would pour otherwise; soap can be added, so it is left out."""
    if tie.sheet is None or not request.conditions.is_complete:
        return ()
    changes = pour_changes(
        kept_sheet(tie.sheet),
        conditions=request.conditions,
        laying=request.laying,
    )
    soap = ("substance", Substance.SOAP.value)
    return tuple(sentence for sentence in changes if soap not in sentence.params)


def _held(ties: tuple[OrderBatch, ...]) -> set[str]:
    """The vessels that still hold something of these batches."""
    fills = (fill for tie in ties for fill in tie.batch.fills.all())
    return {fill.vessel.code for fill in fills if fill.emptied_at is None}


def _filled_up(
    ties: tuple[OrderBatch, ...],
) -> dict[str, list[tuple[float, float]]]:
    """Vessels that hold more than one of these batches: soap dose and mL of each."""
    found: dict[str, list[tuple[float, float]]] = {}
    for tie in ties:
        batch = tie.batch
        dose = 1000 * batch.soap_ml / batch.volume_ml if batch.volume_ml else 0.0
        for fill in batch.fills.all():
            if fill.emptied_at is None:
                found.setdefault(fill.vessel.code, []).append((dose, fill.holds_ml))
    return {code: parts for code, parts in found.items() if len(parts) > 1}


def _usual_state(solution: SolutionSheet) -> str:
    # Before install begins no row waits yet; gel is drawn only where advised.
    is_gel = solution.kind is SolutionKind.GEL
    return "" if is_gel else OrderSolution.State.WAITING.value


def gel_is_advised(sheet: MixingSheet) -> bool:
    """Whether the sheet says to take gel."""
    return sheet.open_time.use in (Use.SLIP_AND_GEL, Use.GEL)
