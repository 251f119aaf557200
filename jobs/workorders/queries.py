"""What the work order's pages read."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from django.db.models import QuerySet

from jobs.models import WorkOrder
from jobs.rules.table import Concern, Level
from jobs.stages.leaving import concerns
from jobs.stages.queries import rule_levels, stage_facts
from jobs.stages.table import Stage, is_redo
from shopapp.models import the_shop


@dataclass(frozen=True, kw_only=True)
class WayOn:
    """A stage the car could go to, and what the rules say of it."""

    to: Stage
    is_redo: bool
    concerns: tuple[Concern, ...]

    @property
    def is_hand_over(self) -> bool:
        """Whether the car leaves this way: by its hand-over page."""
        return self.to.is_closed

    @property
    def refusals(self) -> tuple[Concern, ...]:
        """What greys the button: no reason helps."""
        return tuple(c for c in self.concerns if c.level is Level.HARD)

    @property
    def wants_reason(self) -> tuple[Concern, ...]:
        """What asks for a written reason."""
        return tuple(c for c in self.concerns if c.level is Level.REASON)

    @property
    def advice(self) -> tuple[Concern, ...]:
        """What is said and not in the way."""
        return tuple(c for c in self.concerns if c.level is Level.ADVICE)


def order_head() -> QuerySet[WorkOrder]:
    """Orders with what the head of every order page shows."""
    return WorkOrder.objects.select_related(
        "vehicle", "customer", "film", "bay", "place", "booking__forecast"
    )


def ways_on(workorder: WorkOrder, *, now: datetime) -> list[WayOn]:
    """The stages this order may go to, with the rules' sentences."""
    facts = stage_facts(workorder, now=now)
    levels = rule_levels(the_shop())
    return [
        WayOn(
            to=to,
            is_redo=is_redo(workorder.stage_now, to=to),
            concerns=concerns(facts, to=to, levels=levels),
        )
        for to in facts.ways
    ]
