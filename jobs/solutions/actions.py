"""Mixing for an order: the sheet, the guided mix, not needed, taking, topping up."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace

from jobs.air.actions import keep_air
from jobs.condition.reading_actions import lock_open
from jobs.models import OrderBatch, OrderSheet, OrderSolution, Paper, WorkOrder
from jobs.papers.actions import ask_paper
from jobs.rules.stock import batch_stale, stock_short
from jobs.solutions.bottle_queries import left_in, vessel_concern
from jobs.solutions.queries import mix_request, solution_in
from jobs.solutions.request_queries import sheet_request
from jobs.solutions.sheet_actions import keep_sheet, keep_whole_sheet
from mixing.bench.batch_actions import Mixing, keep_batch
from mixing.bench.queries import is_emptied, open_fills
from mixing.models import Batch, Kind, RecipeVersion, StockContainer, Vessel
from mixing.sheet import (
    MixingSheet,
    SheetRequest,
    SolutionKind,
    SolutionSheet,
    as_poured,
    mixing_sheet,
    request_problems,
)
from mixing.sheet.input_queries import last_water_test
from mixing.sheet.queries import newest_versions, sheet_of
from shopapp.figures import given
from shopapp.frame import Act, Json, Refused, action
from shopapp.say import say


@action("mix.plan")
def make_sheet(
    act: Act,
    *,
    workorder_pk: int,
    kind: str = "",
    vessels: Iterable[Vessel] = (),
    left_ml: dict[str, float] | None = None,
) -> Json:
    """Keep the mixing sheet as things stand; it replaces the one before.

    kind, vessels  for a guided mix: only this solution, in just these vessels
    left_ml        what is left in those that are filled up over it, by code
    """
    workorder = lock_open(act, workorder_pk)
    if kind:
        request = _request_for(act, workorder, kind, list(vessels), left_ml or {})
    else:
        request = sheet_request(workorder, at=act.now)
    if problems := request_problems(request):
        raise Refused(*(problem.sentence for problem in problems))
    sheet = mixing_sheet(request)
    if kind:
        _refuse_unready(solution_in(sheet, kind))
    row, is_new = keep_sheet(act, workorder, sheet)
    if is_new:
        act.event(workorder, "sheet", sheet=row, version=row.version, kind=kind)
    else:
        act.unchanged(workorder)
    return {"pk": row.pk, "version": row.version}


def _request_for(
    act: Act,
    workorder: WorkOrder,
    kind: str,
    vessels: list[Vessel],
    left_ml: dict[str, float],
) -> SheetRequest:
    if kind not in newest_versions():
        raise Refused(say("No recipe for {kind} is in use.", kind=Kind(kind).label))
    if not vessels:
        raise Refused(say("Choose the vessels that you fill."), field="vessels")
    _refuse_vessels(act, vessels, kind=kind, workorder=workorder, left_ml=left_ml)
    return mix_request(
        workorder, kind=kind, vessels=vessels, at=act.now, left_ml=left_ml
    )


def _refuse_vessels(
    act: Act,
    vessels: Iterable[Vessel],
    *,
    kind: str,
    workorder: WorkOrder,
    left_ml: Mapping[str, float],
) -> None:
    concerns = [
        vessel_concern(
            vessel,
            kind=kind,
            workorder=workorder,
            left_ml=left_ml.get(vessel.code, 0.0),
            at=act.now,
        )
        for vessel in vessels
    ]
    if said := [concern.sentence for concern in concerns if concern]:
        raise Refused(*said, field="vessels")
    if gone := [vessel.code for vessel in vessels if vessel.retired]:
        raise Refused(
            say("{codes} was retired: take another.", codes=", ".join(gone)),
            field="vessels",
        )


def _refuse_unready(solution: SolutionSheet) -> None:
    if solution.refusal is not None:
        raise Refused(solution.refusal)
    if not solution.fills:
        raise Refused(
            say("Read panel and air first: the soap follows the warmer of the two.")
        )


@action("mix.print")
def print_sheet(act: Act, *, workorder_pk: int, size: str = "") -> Json:
    """Keep the sheet as things stand and print it; before a reading with its strip."""
    workorder = lock_open(act, workorder_pk)
    if keep_whole_sheet(act, workorder) is None:
        raise Refused(
            say("No sheet to print: the order needs panels to lay and a recipe in use.")
        )
    paper = ask_paper(act, kind=Paper.Kind.MIXING_SHEET, workorder=workorder, size=size)
    return {"pk": paper.pk}


@action("mix.record")
def record_mix(
    act: Act,
    *,
    workorder_pk: int,
    version: int,
    kind: str,
    poured: list[list[float]],
    spilt: dict[str, float] | None = None,
    because: str = "",
) -> Json:
    """Keep a guided mix: batch, vessels filled, stock drawn, tie to the order.

    version  the sheet that was poured by
    poured   for each fill its pours in order, mL into each vessel
    spilt    what went out again to set a pour right, mL by container
    because  why it is kept although a pour led outside the tolerance
    """
    workorder = lock_open(act, workorder_pk)
    row = workorder.sheets.filter(version=version).first()
    if row is None or kind not in row.recipe_versions:
        raise Refused(say("This sheet is not there any more. Begin the mix again."))
    sheet = sheet_of(row.facts)
    planned = solution_in(sheet, kind)
    _refuse_unready(planned)
    left = left_in(sheet)
    vessels = _lock_vessels(act, workorder, planned, kind=kind, left_ml=left)
    under = [fill.batch for v in vessels if v.code in left for fill in open_fills(v)]
    done = _done(sheet, kind, poured)
    batch = keep_batch(
        act,
        Mixing(
            planned=planned,
            poured=done,
            recipe_version=RecipeVersion.objects.get(pk=row.recipe_versions[kind]),
            reading=row.reading,
            water=last_water_test(),
            spilt_ml=spilt or {},
            because=because,
            left_ml=left,
        ),
        vessels={vessel.code: vessel for vessel in vessels},
        containers=_lock_stock(act, done, spilt or {}),
    )
    _tie_rests(act, workorder, under)
    tie_batch(act, workorder, batch, sheet=row)
    return {"pk": batch.pk, "number": batch.number}


def _tie_rests(act: Act, workorder: WorkOrder, under: list[Batch]) -> None:
    """What was filled up over is in what is laid from now on: it is tied as well."""
    tied = set(
        workorder.order_batches.filter(round=workorder.round).values_list(
            "batch", flat=True
        )
    )
    for pk, batch in {batch.pk: batch for batch in under}.items():
        if pk not in tied:
            tie_batch(act, workorder, batch)


def _done(sheet: MixingSheet, kind: str, poured: list[list[float]]) -> SolutionSheet:
    """The solution as it was poured. What was poured is a fact: it is never refused.

    Whoever pours off the sheet is asked why by the form.
    """
    try:
        return as_poured(sheet, kind=SolutionKind(kind), poured=poured)
    except ValueError as wrong:
        raise Refused(say("{wrong}", wrong=str(wrong))) from None


def _lock_vessels(
    act: Act,
    workorder: WorkOrder,
    planned: SolutionSheet,
    *,
    kind: str,
    left_ml: Mapping[str, float],
) -> list[Vessel]:
    codes = [code for fill in planned.fills for code in fill.codes]
    if not codes:
        raise Refused(say("Choose the vessels that you fill."))
    known = Vessel.objects.filter(code__in=codes).values_list("pk", flat=True)
    vessels = act.lock_all(Vessel, list(known))
    _refuse_vessels(act, vessels, kind=kind, workorder=workorder, left_ml=left_ml)
    return vessels


def _lock_stock(
    act: Act, done: SolutionSheet, spilt: Mapping[str, float]
) -> dict[str, StockContainer]:
    """The containers drawn from, locked; refused when one holds too little."""
    wanted = {
        draw.container: replace(
            draw.amount, value=draw.amount.value + spilt.get(draw.container, 0.0)
        )
        for draw in done.draws
    }
    known = StockContainer.objects.filter(code__in=wanted).values_list("pk", flat=True)
    containers = {c.code: c for c in act.lock_all(StockContainer, list(known))}
    for code, amount in wanted.items():
        there = containers[code].left_ml
        short = stock_short(
            name=code,
            there=given(there, amount.unit, f"left in {code}"),
            wanted=amount,
        )
        if short:
            raise Refused(short.sentence)
    return containers


def tie_batch(
    act: Act, workorder: WorkOrder, batch: Batch, *, sheet: OrderSheet | None = None
) -> None:
    """Tie a batch to the order; its solution is settled for this round."""
    OrderBatch.objects.create(
        workorder=workorder, batch=batch, round=workorder.round, sheet=sheet
    )
    _settle(workorder, batch.kind, OrderSolution.State.MIXED)
    act.event(
        workorder,
        "mixed" if sheet else "batch_taken",
        batch=batch,
        kind=batch.kind,
        vv_pct=batch.vv_pct,
        soap_ml=batch.soap_ml,
        volume_ml=batch.volume_ml,
    )
    keep_air(workorder, at=act.now)


def _settle(workorder: WorkOrder, kind: str, state: OrderSolution.State) -> None:
    OrderSolution.objects.update_or_create(
        workorder=workorder,
        kind=kind,
        round=workorder.round,
        defaults={"state": state.value},
    )


@action("mix.skip")
def skip_solution(act: Act, *, workorder_pk: int, kind: str) -> None:
    """Say that this round needs no such solution."""
    workorder = lock_open(act, workorder_pk)
    mixed = workorder.order_batches.filter(round=workorder.round, batch__kind=kind)
    if tie := mixed.first():
        raise Refused(
            say(
                "{kind} was mixed for this order: batch {batch}.",
                kind=Kind(kind).label,
                batch=tie.batch.number,
            )
        )
    _settle(workorder, kind, OrderSolution.State.NOT_NEEDED)
    act.event(workorder, "solution_not_needed", kind=kind)
    keep_air(workorder, at=act.now)


@action("mix.take")
def take_batch(
    act: Act, *, workorder_pk: int, batch_pk: int, past_its_time: bool = False
) -> None:
    """Use a batch for this round too: of another order, or of the round before.

    past_its_time  it is to be used although it is past its time
    """
    workorder = lock_open(act, workorder_pk)
    batch = Batch.objects.filter(pk=batch_pk).first()
    if batch is None:
        raise Refused(say("This batch is not there any more."))
    if workorder.order_batches.filter(batch=batch, round=workorder.round).exists():
        raise Refused(say("{batch} is tied to this order.", batch=batch.number))
    refuse_stale(act, batch, past_its_time=past_its_time)
    tie_batch(act, workorder, batch)


def refuse_stale(act: Act, batch: Batch, *, past_its_time: bool) -> None:
    """Refuse a batch that was poured away, or is past its time and nobody said so."""
    stale = batch_stale(
        batch=batch.number,
        use_until=None if past_its_time else batch.use_by,
        is_emptied=is_emptied(batch),
        now=act.now,
    )
    if stale:
        raise Refused(stale.sentence)
