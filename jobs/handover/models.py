"""What the recheck found."""

from __future__ import annotations

from django.db import models

from jobs.workorders.models import WorkOrder
from mixing.models import Immutable
from shopapp.models import Person


class Recheck(Immutable):
    """The outcome of one recheck of a car that was handed over."""

    class Outcome(models.TextChoices):
        FINE = "fine", "fine"
        WATCH = "watch", "watch again"
        REDO = "redo", "needs new film"
        DID_NOT_COME = "did_not_come", "did not come"

    workorder = models.ForeignKey(
        WorkOrder, on_delete=models.PROTECT, related_name="rechecks"
    )
    due_at = models.DateTimeField(help_text="The recheck that it is the outcome of.")
    outcome = models.CharField(max_length=14, choices=Outcome.choices)
    note = models.CharField(max_length=200, blank=True)
    by = models.ForeignKey(Person, on_delete=models.PROTECT, null=True)
    at = models.DateTimeField()

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["workorder", "due_at"], name="recheck_outcome_once"
            )
        ]

    def __str__(self) -> str:
        return f"recheck: {self.outcome}"
