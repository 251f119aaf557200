"""Small things that a shop uses up: blades, towels, soap."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from shopapp.models import Person


class Supply(models.Model):
    """One such thing: whether it runs low, who saw it, whether it is ordered."""

    lock_rank: ClassVar[int] = 67

    name = models.CharField(max_length=40, unique=True)
    low_at = models.DateTimeField(null=True, blank=True)
    low_by = models.ForeignKey(
        Person, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    ordered_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["name"]
        verbose_name_plural = "supplies"
        constraints = [
            models.CheckConstraint(
                condition=models.Q(ordered_at=None) | models.Q(low_at__isnull=False),
                name="supply_ordered_when_low",
            )
        ]

    def __str__(self) -> str:
        return self.name
