"""A promise that a person of the shop doubts, until the customer was told."""

from __future__ import annotations

from django.db import models
from django.db.models import Q

from jobs.workorders.models import WorkOrder
from shopapp.models import Person


class PromiseCheck(models.Model):
    """Somebody said that the promised time will not hold; the desk calls."""

    class Outcome(models.TextChoices):
        TOLD = "told", "told the customer"
        KEPT = "kept", "we make it"

    workorder = models.ForeignKey(
        WorkOrder, on_delete=models.PROTECT, related_name="promise_checks"
    )
    because = models.CharField(max_length=160, blank=True)
    said_by = models.ForeignKey(
        Person, on_delete=models.PROTECT, null=True, related_name="+"
    )
    said_at = models.DateTimeField()
    outcome = models.CharField(max_length=4, choices=Outcome.choices, blank=True)
    settled_by = models.ForeignKey(
        Person, on_delete=models.PROTECT, null=True, related_name="+"
    )
    settled_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["workorder"],
                condition=Q(settled_at__isnull=True),
                name="promise_checked_once",
            )
        ]

    def __str__(self) -> str:
        return f"check of the promise of {self.workorder}"
