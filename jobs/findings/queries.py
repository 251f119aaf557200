"""Likely causes beside a defect: the order's own record, laid beside the table."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from jobs.coverage.catalogue import Body, panel_name
from jobs.findings.first_look import parted
from jobs.findings.record_queries import OrderRead, PanelPast, panel_past, read_order
from jobs.findings.trace import (
    Cause,
    DefectKind,
    Verdict,
    defect_kinds,
    likely_causes,
)
from jobs.models import Defect, OrderPanel, WorkOrder
from jobs.panels.queries import acceptance_standard
from jobs.panels.redo_queries import OPEN, Redo, redo_of
from jobs.stages.table import May

Line = tuple[Cause, str, str, str]

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
    Defect.State.GONE: ("check", "is-ok"),
    Defect.State.NOTHING: ("check", "is-quiet"),
}
"""Icon and tone of each state of a defect."""


@dataclass(frozen=True, kw_only=True)
class Trouble:
    """A defect with its kind and the causes that come first.

    go_with_it  other open defects of the same film: they go when the film goes
    undo        the redo that may be taken back, where new film was asked for
    """

    defect: Defect
    name: str
    kind: DefectKind
    causes: tuple[Cause, ...]
    may_redo: bool
    only_watched: bool
    go_with_it: int
    undo: Redo | None

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
    def lines(self) -> list[Line]:
        """Each cause with the word, icon and tone of its verdict."""
        return lines_of(self.causes)


def lines_of(causes: Iterable[Cause]) -> list[Line]:
    """Causes with the word, icon and tone of their verdicts."""
    return [(cause, *VERDICTS[cause.verdict]) for cause in causes]


def troubles(workorder: WorkOrder) -> list[Trouble]:
    """The order's defects, newest first, each with its likely causes."""
    defects = list(
        workorder.defects.select_related(
            "order_panel", "photo", "found_by", "settled_by"
        ).order_by("-pk")
    )
    if not defects:
        return []
    known, body = read_order(workorder), Body(workorder.vehicle.body)
    watched = acceptance_standard().watched
    return [
        Trouble(
            defect=defect,
            name=panel_name(defect.order_panel.panel, body=body),
            may_redo=may_redo(workorder, defect),
            only_watched=defect.kind in watched,
            go_with_it=sum(
                other.order_panel_id == defect.order_panel_id
                and other.state in OPEN
                and other.pk != defect.pk
                for other in defects
            ),
            undo=redo_of(workorder, defect) if _is_redo(defect) else None,
            kind=defect_kinds()[defect.kind],
            causes=likely_causes(
                defect.kind, record=_past(workorder, defect, known).record
            ),
        )
        for defect in defects
    ]


def _is_redo(defect: Defect) -> bool:
    return defect.state == Defect.State.REDO


def may_redo(workorder: WorkOrder, defect: Defect) -> bool:
    """Whether new film has a round to go into.

    From inspection and from the final look; in install a second panel may join the
    round that is being redone.
    """
    if workorder.stage_now.may(May.LAY):
        return defect.round < workorder.round
    return workorder.stage_now.row.back_to is not None


def _past(workorder: WorkOrder, defect: Defect, known: OrderRead) -> PanelPast:
    return panel_past(
        workorder,
        defect.order_panel,
        kind=defect.kind,
        round=defect.round,
        known=known,
    )


@dataclass(frozen=True, kw_only=True)
class TroubleNow:
    """What is seen at a panel, with the order's record beside the table of causes.

    solutions  causes that lie in what was mixed; empty unless the table marks the kind
    others     all other causes
    """

    kind: DefectKind
    panel: OrderPanel
    name: str
    past: PanelPast
    solutions: list[Line]
    others: list[Line]


def trouble_now(workorder: WorkOrder, panel: OrderPanel, *, kind: str) -> TroubleNow:
    """The causes of what is seen, as far as the order's record tells."""
    past = panel_past(
        workorder,
        panel,
        kind=kind,
        round=workorder.round,
        known=read_order(workorder),
    )
    causes = likely_causes(kind, record=past.record)
    solutions, others = parted(kind, causes)
    return TroubleNow(
        kind=defect_kinds()[kind],
        panel=panel,
        name=panel_name(panel.panel, body=Body(workorder.vehicle.body)),
        past=past,
        solutions=lines_of(solutions),
        others=lines_of(others),
    )


def panel_in_question(workorder: WorkOrder, pk: str) -> OrderPanel | None:
    """The panel that is asked about, else the one at work, else the first."""
    rows = [row for row in workorder.panels.all() if row.struck_off_at is None]
    asked = next((row for row in rows if str(row.pk) == pk), None)
    at_work = next((row for row in rows if row.ready_at and not row.laid_at), None)
    return asked or at_work or next(iter(rows), None)
