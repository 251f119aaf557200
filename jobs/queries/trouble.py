"""Likely causes beside a defect: the order's own record, laid beside the table."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from typing import Any

from jobs.coverage import Body, panel_name
from jobs.marks import mark_kinds
from jobs.models import (
    ChecklistAnswer,
    Defect,
    FilmMovement,
    OrderBatch,
    OrderChecklist,
    WorkOrder,
    WorkOrderEvent,
)
from jobs.stages import Stage
from jobs.trace import (
    Cause,
    DefectKind,
    OrderRecord,
    Verdict,
    defect_kinds,
    likely_causes,
)
from mixing.models import Batch, Fill, Kind, Reading

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

VERDICTS = {
    Verdict.POINTS_TO: ("the record points to it", "warn", "is-warn"),
    Verdict.NOT_RECORDED: ("not recorded", "info", "is-quiet"),
    Verdict.BY_EYE: ("only eyes can tell", "eye", "is-quiet"),
    Verdict.AGAINST: ("the record speaks against it", "check", "is-ok"),
}
"""Word, icon and tone of each verdict."""


STATES = {
    Defect.State.OPEN: ("warn", "is-stop"),
    Defect.State.TOUCHED_UP: ("touchup", "is-ok"),
    Defect.State.REDO: ("redo", "is-warn"),
    Defect.State.REDONE: ("redo", "is-ok"),
    Defect.State.ACCEPTED: ("check", "is-ok"),
    Defect.State.WATCH: ("eye", "is-wait"),
}
"""Icon and tone of each state of a defect."""


@dataclass(frozen=True, kw_only=True)
class Trouble:
    """A defect with its kind and the causes that come first."""

    defect: Defect
    name: str
    kind: DefectKind
    causes: tuple[Cause, ...]
    may_redo: bool

    @property
    def is_open(self) -> bool:
        """Whether it can still be settled."""
        return self.defect.state in (Defect.State.OPEN, Defect.State.WATCH)

    @property
    def tone(self) -> str:
        """Tone of its state."""
        return STATES[Defect.State(self.defect.state)][1]

    @property
    def icon(self) -> str:
        """Icon of its state."""
        return STATES[Defect.State(self.defect.state)][0]

    @property
    def lines(self) -> list[tuple[Cause, str, str, str]]:
        """Each cause with the word, icon and tone of its verdict."""
        return [(cause, *VERDICTS[cause.verdict]) for cause in self.causes]


@dataclass(kw_only=True)
class _Order:
    """What is read once for all defects of an order."""

    laid: dict[tuple[int, int], dict[str, Any]] = field(default_factory=dict)
    readings: dict[int, Reading] = field(default_factory=dict)
    batches: dict[int, Batch] = field(default_factory=dict)
    asked: dict[int, dict[str, Any]] = field(default_factory=dict)
    answers: dict[tuple[str, int], dict[str, ChecklistAnswer]] = field(
        default_factory=dict
    )
    marks: dict[str, list[str]] = field(default_factory=dict)


def troubles(workorder: WorkOrder) -> list[Trouble]:
    """The order's defects, newest first, each with its likely causes."""
    defects = list(
        workorder.defects.select_related(
            "order_panel", "photo", "found_by", "settled_by"
        ).order_by("-pk")
    )
    if not defects:
        return []
    known, body = _read(workorder), Body(workorder.vehicle.body)
    return [
        Trouble(
            defect=defect,
            name=panel_name(defect.order_panel.panel, body=body),
            may_redo=may_redo(workorder, defect),
            kind=defect_kinds()[defect.kind],
            causes=likely_causes(defect.kind, record=_record(workorder, defect, known)),
        )
        for defect in defects
    ]


def may_redo(workorder: WorkOrder, defect: Defect) -> bool:
    """Whether new film has a round to go into.

    From inspection and from the final look; in install a second panel may join the
    round that is being redone.
    """
    if workorder.stage_now is Stage.INSTALL:
        return defect.round < workorder.round
    return workorder.stage_now in (Stage.INSPECTION, Stage.CURE)


def order_record(workorder: WorkOrder, defect: Defect) -> OrderRecord:
    """What the order's record holds of a defect's panel in the round it was laid."""
    return _record(workorder, defect, _read(workorder))


def _read(workorder: WorkOrder) -> _Order:
    known = _Order()
    for event in WorkOrderEvent.objects.filter(
        workorder=workorder, what="panel_laid"
    ).order_by("pk"):
        known.laid[event.facts["panel"], event.facts["round"]] = event.facts
    readings = {facts.get("reading") for facts in known.laid.values()}
    known.readings = Reading.objects.in_bulk([pk for pk in readings if pk])
    batches = {pk for facts in known.laid.values() for pk in facts.get("batches", [])}
    known.batches = Batch.objects.select_related("water").in_bulk(batches)
    ties = OrderBatch.objects.filter(batch_id__in=batches, workorder=workorder)
    for tie in ties.select_related("sheet"):
        if tie.sheet:
            known.asked[tie.batch_id] = asked_of(tie.sheet.facts, tie.batch.kind)
    lists = OrderChecklist.objects.filter(workorder=workorder)
    for row in lists.select_related("version__checklist").prefetch_related("answers"):
        answered = {answer.item: answer for answer in row.answers.all()}
        known.answers[row.version.checklist.code, row.round] = answered
    for mark in workorder.marks.all():
        name = mark_kinds()[mark.kind].name
        known.marks.setdefault(mark.panel, []).append(name)
    return known


def asked_of(facts: dict[str, Any], kind: str) -> dict[str, Any]:
    """What a stored sheet asked for: strength and soap of its first vessel.

    Read from the stored facts themselves, so that a sheet of years ago still tells.
    """
    figures = facts.get("figures", [])
    for solution in facts.get("solutions", []):
        if solution.get("kind") != kind:
            continue
        for fill in solution.get("fills", []):
            return {name: _value(fill.get(name), figures) for name in FILL_FIGURES}
    return {}


FILL_FIGURES = ("strength", "soap")


def _value(stored: Any, figures: list[dict[str, Any]]) -> float | None:
    if not isinstance(stored, dict):
        return None
    whole = figures[stored["figure"]] if "figure" in stored else stored
    return float(whole["value"]) if "value" in whole else None


def _record(workorder: WorkOrder, defect: Defect, known: _Order) -> OrderRecord:
    panel = defect.order_panel
    facts = known.laid.get((panel.pk, defect.round)) or _newest(
        known, panel.pk, before=defect.round
    )
    batches = [known.batches[pk] for pk in facts.get("batches", [])]
    reading = known.readings.get(facts.get("reading") or 0)
    laid_in = facts.get("round", defect.round)
    cold = known.answers.get((COLDEST[0], laid_in), {}).get(COLDEST[1])
    record = OrderRecord(
        panel_c=reading.panel_c if reading else None,
        air_c=reading.air_c if reading else None,
        coldest_cure_c=cold.number if cold else None,
        no_wash_days=workorder.film.wash_after_days,
        marks_before=tuple(known.marks.get(panel.panel, ())),
        same_lot_faults=_same_lot_faults(defect, facts.get("pull")),
        **{name: _ticked(known, laid_in, *where) for name, where in TICKS.items()},
    )
    return replace(record, **_of_batches(batches, known)) if batches else record


def _newest(known: _Order, panel_pk: int, *, before: int) -> dict[str, Any]:
    """Film of an earlier round may still be on the panel."""
    rounds = [
        number for pk, number in known.laid if pk == panel_pk and number <= before
    ]
    return known.laid[panel_pk, max(rounds)] if rounds else {}


def _ticked(known: _Order, round_now: int, code: str, item: str) -> bool | None:
    """Whether an item was ticked; None when the order never had that list."""
    rounds = [number for name, number in known.answers if name == code]
    of_round = round_now if round_now in rounds else min(rounds, default=None)
    if of_round is None:
        return None
    return item in known.answers[code, of_round]


def _of_batches(batches: list[Batch], known: _Order) -> dict[str, Any]:
    """What the batches tell of slip, tack, water and vessels."""
    found: dict[str, Any] = {"gel_used": any(b.kind == Kind.GEL for b in batches)}
    for batch in batches:
        asked = known.asked.get(batch.pk, {})
        if batch.kind in (Kind.SLIP, Kind.ALL_IN_ONE) and batch.volume_ml:
            found["slip_ml_per_l"] = 1000 * batch.soap_ml / batch.volume_ml
            found["slip_asked_ml_per_l"] = asked.get("soap")
        if batch.kind in (Kind.TACK, Kind.ALL_IN_ONE):
            found["tack_vv_pct"] = batch.vv_pct
            found["tack_asked_vv_pct"] = asked.get("strength")
        if batch.water and batch.water.hardness_mg_per_l is not None:
            found["hardness_mg_per_l"] = batch.water.hardness_mg_per_l
    return found | _of_vessels(batches)


def _of_vessels(batches: Iterable[Batch]) -> dict[str, bool | None]:
    """Whether the vessels held one kind for life, and were emptied before."""
    mixed_at = {batch.pk: batch.mixed_at for batch in batches}
    fills = list(Fill.objects.filter(batch_id__in=mixed_at).select_related("vessel"))
    if not fills:
        return {}
    before = Fill.objects.filter(
        vessel_id__in={fill.vessel_id for fill in fills}
    ).select_related("batch", "vessel")
    kept = all(fill.batch.kind == fill.vessel.kind for fill in before)
    rinsed = all(
        other.emptied_at is not None and other.emptied_at <= mixed_at[fill.batch_id]
        for fill in fills
        for other in before
        if other.vessel_id == fill.vessel_id
        and other.batch.mixed_at < mixed_at[fill.batch_id]
    )
    return {"vessels_kept_kind": kept, "vessels_rinsed": rinsed}


def _same_lot_faults(defect: Defect, pull_pk: int | None) -> int | None:
    """Other panels of this film lot with faults of the film itself."""
    if defect.kind != "film_fault" or not pull_pk:
        return None
    lots = FilmMovement.objects.filter(pull_id=pull_pk).exclude(roll__lot="")
    same = FilmMovement.objects.filter(roll__lot__in=lots.values("roll__lot"))
    others = Defect.objects.filter(
        kind="film_fault", order_panel__pull__in=same.values("pull")
    )
    return others.exclude(order_panel=defect.order_panel).count()
