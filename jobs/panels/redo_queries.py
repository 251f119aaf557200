"""New film for a panel: what goes with the old film, and what it was, for an undo."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.db.models import QuerySet

from jobs.models import (
    Defect,
    OrderPanel,
    OrderSolution,
    Pull,
    WorkOrder,
    WorkOrderEvent,
)
from jobs.stages.table import May, Stage
from shopapp.say import Say, say

OPEN = (Defect.State.OPEN, Defect.State.WATCH)


def with_its_film(defect: Defect) -> list[Defect]:
    """The other defects that nobody has settled: they go when the film goes."""
    others = defect.order_panel.defects.filter(state__in=OPEN)
    return list(others.exclude(pk=defect.pk).order_by("pk"))


def came_back_for(workorder: WorkOrder, panel: OrderPanel) -> QuerySet[Defect]:
    """Defects in earlier film of a panel that the car is back for on this order."""
    # By their keys: an update cannot follow the tie itself.
    found = Defect.objects.filter(
        return_visits__booking=workorder.booking_id, order_panel__panel=panel.panel
    )
    here = found.values("pk") if workorder.return_of_id else found.none().values("pk")
    return Defect.objects.filter(pk__in=here)


def waits_for_film(workorder: WorkOrder, panel: OrderPanel) -> QuerySet[Defect]:
    """Defects that go when film is laid on a panel."""
    return panel.defects.all() | came_back_for(workorder, panel)


def film_as_it_was(workorder: WorkOrder, defect: Defect) -> dict[str, Any]:
    """What a redo takes away, as the history keeps it: keys and moments, no names."""
    panel = defect.order_panel
    return {
        "laid_at": panel.laid_at,
        "laid_by": panel.laid_by_id,
        "laid_round": panel.laid_round,
        "reading": panel.reading_id,
        "pull": panel.pull_id,
        "batches": sorted(panel.batches.values_list("pk", flat=True)),
        "stage_since": workorder.stage_since,
        "defects": {
            str(each.pk): each.state for each in [defect, *with_its_film(defect)]
        },
    }


@dataclass(frozen=True, kw_only=True)
class Redo:
    """A redo that may be taken back, and why it may not where it may not."""

    event: WorkOrderEvent | None
    why_not: Say | None

    @property
    def may_go_back(self) -> bool:
        """Whether the old film may be put back."""
        return self.why_not is None


def redo_of(workorder: WorkOrder, defect: Defect) -> Redo:
    """The redo of a defect as long as nothing was done for the new film."""
    events = WorkOrderEvent.objects.filter(workorder=workorder, what="redo")
    event = events.filter(facts__defect=defect.pk).order_by("-pk").first()
    return Redo(event=event, why_not=_why_not(workorder, defect, event))


def _why_not(
    workorder: WorkOrder, defect: Defect, event: WorkOrderEvent | None
) -> Say | None:
    if event is None or "was" not in event.facts:
        return say("What was on the panel before is not recorded.")
    if defect.state != Defect.State.REDO or defect.order_panel.laid_at:
        return say("There is new film on this panel already.")
    same_round = event.facts["round"] == workorder.round
    if not workorder.stage_now.may(May.LAY) or not same_round:
        return say("The car has gone on since.")
    if Stage(event.facts["came_from"]).may(May.LAY):
        return None
    return _round_begun(workorder)


def _round_begun(workorder: WorkOrder) -> Say | None:
    """Why the whole round cannot go back: something was done in it."""
    off = workorder.panels.filter(laid_at=None, struck_off_at=None).count()
    laid = workorder.panels.filter(laid_at__isnull=False, laid_round=workorder.round)
    if off > 1 or laid.exists():
        return say("Another panel is in this round: take that back first.")
    mixed = workorder.order_batches.filter(round=workorder.round).exists()
    pulls = workorder.pulls.filter(round=workorder.round)
    pulled = pulls.filter(state__in=[Pull.State.PLANNED, Pull.State.TAKEN]).exists()
    if mixed or pulled:
        return say("Film or solutions of this round are there already.")
    return None


def waiting_solutions(workorder: WorkOrder) -> Any:
    """Solutions that this round waits for."""
    return workorder.solutions.filter(
        round=workorder.round, state=OrderSolution.State.WAITING
    )
