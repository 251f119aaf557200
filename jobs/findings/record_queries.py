"""What the order's own record holds of one panel: the mix, the day, the checks."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from typing import Any

from django.db.models import F, Q

from jobs.checks.queries import items_of
from jobs.condition.marks import mark_kinds
from jobs.coverage.catalogue import panels, placing_min
from jobs.findings.batches_judged import Held, worst
from jobs.findings.trace import OrderRecord
from jobs.models import (
    ChecklistAnswer,
    Defect,
    FilmMovement,
    OrderChecklist,
    OrderPanel,
    WorkOrder,
    WorkOrderEvent,
)
from jobs.stages.queries import last_reading
from mixing.models import Batch, Fill, Kind, Reading
from mixing.sheet.queries import kept_facts

TICKS = {
    "wax_off": ("prep", "take_off_wax_sealant_or_coating"),
    "jambs_rinsed": ("prep", "rinse_jambs_gaps_and_edges"),
    "edges_rinsed": ("install", "rinse_and_dry_the_edges_before_wrapping"),
    "edges_dried": ("install", "rinse_and_dry_the_edges_before_wrapping"),
    "edges_heat_set": ("install", "heat_set_the_edges"),
    "fan_off": ("install", "stop_fans_at_the_panel"),
}
"""What a tick of the shipped checklists tells; a shop's own items tell nothing."""
COLDEST = ("final_look", "read_the_coldest_air_overnight")


@dataclass(kw_only=True)
class OrderRead:
    """What is read once for all defects of an order."""

    laid: dict[tuple[int, int], dict[str, Any]] = field(default_factory=dict)
    readings: dict[int, Reading] = field(default_factory=dict)
    batches: dict[int, Batch] = field(default_factory=dict)
    rounds: dict[int, list[int]] = field(default_factory=dict)
    open_min: dict[int, float | None] = field(default_factory=dict)
    asked: dict[int, dict[str, Any]] = field(default_factory=dict)
    asked_of_kind: dict[str, dict[str, Any]] = field(default_factory=dict)
    filled: list[tuple[int, int]] = field(default_factory=list)
    """Vessel and batch."""
    left_in: dict[int, list[Fill]] = field(default_factory=dict)
    """By vessel, what was not emptied yet when the first of the batches was mixed."""
    changed_kind: frozenset[int] = frozenset()
    """Vessels that ever held another kind than their own."""
    answers: dict[tuple[str, int], dict[str, ChecklistAnswer]] = field(
        default_factory=dict
    )
    items: dict[tuple[str, int], frozenset[str]] = field(default_factory=dict)
    marks: dict[str, list[str]] = field(default_factory=dict)


def read_order(workorder: WorkOrder) -> OrderRead:
    """What is read once, whatever panel is asked about."""
    known = OrderRead()
    for event in WorkOrderEvent.objects.filter(
        workorder=workorder, what="panel_laid"
    ).order_by("pk"):
        known.laid[event.facts["panel"], event.facts["round"]] = event.facts
    readings = {facts.get("reading") for facts in known.laid.values()}
    known.readings = Reading.objects.in_bulk([pk for pk in readings if pk])
    ties = workorder.order_batches.select_related("sheet", "batch__water")
    for tie in ties:
        known.batches[tie.batch_id] = tie.batch
        known.rounds.setdefault(tie.round, []).append(tie.batch_id)
        if tie.sheet:
            known.asked[tie.batch_id] = asked_of(tie.sheet.facts, tie.batch.kind)
            known.asked_of_kind[tie.batch.kind] = known.asked[tie.batch_id]
            known.open_min[tie.batch_id] = open_time_of(tie.sheet.facts)
    _read_vessels(known)
    lists = OrderChecklist.objects.filter(workorder=workorder)
    for row in lists.select_related("version__checklist").prefetch_related("answers"):
        answered = {answer.item: answer for answer in row.answers.all()}
        known.answers[row.version.checklist.code, row.round] = answered
        asked = frozenset(item.code for item in items_of(row.version))
        known.items[row.version.checklist.code, row.round] = asked
    for mark in workorder.marks.all():
        name = mark_kinds()[mark.kind].name
        known.marks.setdefault(mark.panel, []).append(name)
    return known


def _read_vessels(known: OrderRead) -> None:
    """What stood in the vessels of the batches, however long these have been used."""
    if not known.batches:
        return
    fills = Fill.objects.filter(batch_id__in=known.batches)
    known.filled = list(fills.values_list("vessel_id", "batch_id"))
    of_vessels = Fill.objects.filter(vessel_id__in={pk for pk, _ in known.filled})
    first = min(batch.mixed_at for batch in known.batches.values())
    left = of_vessels.filter(Q(emptied_at=None) | Q(emptied_at__gt=first))
    for fill in left.select_related("batch").defer("batch__facts"):
        known.left_in.setdefault(fill.vessel_id, []).append(fill)
    other = of_vessels.exclude(batch__kind=F("vessel__kind"))
    known.changed_kind = frozenset(other.values_list("vessel_id", flat=True).distinct())


def asked_of(facts: dict[str, Any], kind: str) -> dict[str, Any]:
    """What a stored sheet asked for: strength and soap of its first vessel.

    Read from the stored facts themselves, so that a sheet of years ago still tells.
    """
    facts = kept_facts(facts)
    figures = facts.get("figures", [])
    for solution in facts.get("solutions", []):
        if solution.get("kind") != kind:
            continue
        for fill in solution.get("fills", []):
            return {name: _value(fill.get(name), figures) for name in FILL_FIGURES}
    return {}


def open_time_of(facts: dict[str, Any]) -> float | None:
    """The open time that a stored sheet reckoned with, minutes."""
    facts = kept_facts(facts)
    told = facts.get("open_time", {}).get("open_time")
    return _value(told, facts.get("figures", []))


FILL_FIGURES = ("strength", "soap")


def _value(stored: Any, figures: list[dict[str, Any]]) -> float | None:
    if not isinstance(stored, dict):
        return None
    whole = figures[stored["figure"]] if "figure" in stored else stored
    return float(whole["value"]) if "value" in whole else None


@dataclass(frozen=True, kw_only=True)
class PanelPast:
    """How a panel was laid; where it is not yet, how it would be laid now."""

    record: OrderRecord
    batches: tuple[Batch, ...]
    reading: Reading | None
    is_laid: bool


def panel_past(
    workorder: WorkOrder, panel: OrderPanel, *, kind: str, round: int, known: OrderRead
) -> PanelPast:
    """What the order's record holds of a panel as far as one kind of defect goes."""
    laid = known.laid.get((panel.pk, round)) or _newest(known, panel.pk, before=round)
    facts = laid or _in_force(workorder, known)
    # A batch of before the ties were kept is not told of.
    batches = [known.batches[pk] for pk in facts["batches"] if pk in known.batches]
    reading = known.readings.get(facts.get("reading") or 0)
    laid_in = facts.get("round", round)
    ticks: dict[str, Any] = {
        name: _ticked(known, laid_in, *where) for name, where in TICKS.items()
    }
    cold = known.answers.get((COLDEST[0], laid_in), {}).get(COLDEST[1])
    record = OrderRecord(
        panel_c=reading.panel_c if reading else None,
        air_c=reading.air_c if reading else None,
        coldest_cure_c=cold.number if cold else None,
        marks_before=tuple(known.marks.get(panel.panel, ())),
        same_lot_faults=_same_lot_faults(kind, panel, facts.get("pull")),
        **ticks,
    )
    if batches:
        record = replace(record, **_of_batches(batches, known))
    if record.open_time_min is not None:
        record = replace(record, placing_min=_placing_min(panel))
    return PanelPast(
        record=record, batches=tuple(batches), reading=reading, is_laid=bool(laid)
    )


def _in_force(workorder: WorkOrder, known: OrderRead) -> dict[str, Any]:
    """What a panel would be laid with at this moment."""
    reading = last_reading(workorder)
    if reading is not None:
        known.readings[reading.pk] = reading
    return {
        "batches": known.rounds.get(workorder.round, []),
        "reading": reading.pk if reading else None,
        "round": workorder.round,
    }


def _placing_min(panel: OrderPanel) -> float | None:
    """A panel laid in sections is wetted section by section."""
    known = panels()[panel.panel]
    return None if known.in_sections else placing_min(known).value


def _newest(known: OrderRead, panel_pk: int, *, before: int) -> dict[str, Any]:
    """Film of an earlier round may still be on the panel."""
    rounds = [
        number for pk, number in known.laid if pk == panel_pk and number <= before
    ]
    return known.laid[panel_pk, max(rounds)] if rounds else {}


def _ticked(known: OrderRead, round_now: int, code: str, item: str) -> bool | None:
    """Whether an item was ticked; None when the order's list never had it."""
    rounds = [number for name, number in known.answers if name == code]
    of_round = round_now if round_now in rounds else min(rounds, default=None)
    if of_round is None or item not in known.items[code, of_round]:
        return None
    return item in known.answers[code, of_round]


def _of_batches(batches: list[Batch], known: OrderRead) -> dict[str, Any]:
    """What the batches tell of slip, tack, water and vessels: of each, the worst."""
    slips = tuple(
        _held(batch, 1000 * batch.soap_ml / batch.volume_ml, "soap", known)
        for batch in batches
        if batch.kind in (Kind.SLIP, Kind.ALL_IN_ONE) and batch.volume_ml
    )
    tacks = tuple(
        _held(batch, batch.vv_pct, "strength", known)
        for batch in batches
        if batch.kind in (Kind.TACK, Kind.ALL_IN_ONE) and batch.vv_pct is not None
    )
    slip, tack = worst(slips), worst(tacks)
    waters = [batch.water.hardness_mg_per_l for batch in batches if batch.water]
    wetting = {Kind.SLIP, Kind.ALL_IN_ONE}
    opens = [known.open_min.get(b.pk) for b in batches if b.kind in wetting]
    return {
        "gel_used": any(batch.kind == Kind.GEL for batch in batches),
        "slips": slips,
        "tacks": tacks,
        "slip_ml_per_l": slip.was if slip else None,
        "slip_asked_ml_per_l": slip.asked if slip else None,
        "tack_vv_pct": tack.was if tack else None,
        "tack_asked_vv_pct": tack.asked if tack else None,
        "open_time_min": min((o for o in opens if o is not None), default=None),
        "hardness_mg_per_l": max((w for w in waters if w is not None), default=None),
        **_of_vessels(batches, known),
    }


def _held(batch: Batch, was: float, figure: str, known: OrderRead) -> Held:
    """What a batch held, beside what its own sheet asked for.

    A batch taken over from another car has no sheet here: then what this order's
    sheets asked of its kind stands beside it.
    """
    asked = known.asked.get(batch.pk) or known.asked_of_kind.get(batch.kind, {})
    return Held(
        name=batch.get_kind_display(),
        batch=batch.number,
        was=was,
        asked=asked.get(figure),
    )


def _of_vessels(batches: Iterable[Batch], known: OrderRead) -> dict[str, bool | None]:
    """Whether the vessels held one kind for life, and were emptied before."""
    mixed_at = {batch.pk: batch.mixed_at for batch in batches}
    filled = [(vessel, pk) for vessel, pk in known.filled if pk in mixed_at]
    if not filled:
        return {}
    unrinsed = any(
        (other.emptied_at is None or other.emptied_at > mixed_at[pk])
        and other.batch.mixed_at < mixed_at[pk]
        # Filled up over what was left: that batch is judged itself.
        and other.batch_id not in mixed_at
        for vessel, pk in filled
        for other in known.left_in.get(vessel, ())
    )
    return {
        "vessels_kept_kind": not known.changed_kind & {vessel for vessel, _ in filled},
        "vessels_rinsed": not unrinsed,
    }


def _same_lot_faults(kind: str, panel: OrderPanel, pull_pk: int | None) -> int | None:
    """Other panels of this film lot with faults of the film itself."""
    if kind != "film_fault" or not pull_pk:
        return None
    lots = FilmMovement.objects.filter(pull_id=pull_pk).exclude(roll__lot="")
    same = FilmMovement.objects.filter(roll__lot__in=lots.values("roll__lot"))
    others = Defect.objects.filter(
        kind="film_fault", order_panel__pull__in=same.values("pull")
    )
    return others.exclude(order_panel=panel).count()
