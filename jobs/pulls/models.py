"""Pulls: a plan of cuts, and the film that each order takes of it."""

from __future__ import annotations

from typing import Any

from django.db import models
from django.db.models import Q

from jobs.pulls.stored import CUT_PLAN
from jobs.workorders.models import WorkOrder
from shopapp.models import Person


class CutPlan(models.Model):
    """How panels are cut, for one order or for several. Never changed once kept.

    facts     a frozen `jobs.pulls.plan.PlannedPull`, with its drawings
    searched  nobody looks for a shorter one any more
    """

    facts = models.JSONField()
    drawing_svg = models.TextField(blank=True)
    searched = models.BooleanField(default=False)
    planned_at = models.DateTimeField()

    class Meta:
        ordering = ["-pk"]

    def __str__(self) -> str:
        return f"cut plan {self.pk}"


class Pull(models.Model):
    """One order's part of a plan of cuts, then the film that was taken.

    cut_plan    None: film was taken without a plan
    cut_panels  codes of the panels that it cuts for this order
    """

    class State(models.TextChoices):
        PLANNED = "planned", "planned"
        TAKEN = "taken", "taken"
        REPLACED = "replaced", "replaced by a later plan"

    workorder = models.ForeignKey(
        WorkOrder, on_delete=models.PROTECT, related_name="pulls"
    )
    cut_plan = models.ForeignKey(
        CutPlan, on_delete=models.PROTECT, null=True, related_name="pulls"
    )
    round = models.PositiveSmallIntegerField(default=1)
    state = models.CharField(
        max_length=10, choices=State.choices, default=State.PLANNED
    )
    cut_panels = models.JSONField(default=list)
    planned_mm = models.PositiveIntegerField()
    taken_mm = models.PositiveIntegerField(null=True, blank=True)
    taken_at = models.DateTimeField(null=True, blank=True)
    taken_by = models.ForeignKey(
        Person, on_delete=models.PROTECT, null=True, related_name="+"
    )

    class Meta:
        ordering = ["-pk"]
        indexes = [
            models.Index(
                fields=["workorder"],
                condition=Q(state="planned"),
                name="pull_planned",
            ),
            models.Index(fields=["taken_at"], name="pull_taken_at"),
        ]

    def __str__(self) -> str:
        return f"pull {self.pk}"

    @property
    def plan(self) -> dict[str, Any]:
        """The facts of its plan."""
        if self.cut_plan is None:
            raise ValueError("this film was taken without a plan")
        return CUT_PLAN.upgrade(self.cut_plan.facts)

    @property
    def searched(self) -> bool:
        """Whether nobody looks for a shorter plan any more."""
        return self.cut_plan is None or self.cut_plan.searched
