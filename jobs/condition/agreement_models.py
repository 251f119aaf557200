"""What the customer agreed to, how, who said so, and the signature."""

from __future__ import annotations

from django.db import models

from jobs.workorders.models import WorkOrder
from mixing.models import Immutable
from shopapp.models import Person, StoredFile


class Agreement(Immutable):
    """One yes of the customer, with what stood above it."""

    class About(models.TextChoices):
        DROP_OFF = "drop_off", "drop-off"
        MARKS = "marks", "marks found later"
        ADDED = "added", "work added"

    workorder = models.ForeignKey(
        WorkOrder, on_delete=models.PROTECT, related_name="agreements"
    )
    about = models.CharField(max_length=10, choices=About.choices)
    how = models.CharField(max_length=10, choices=WorkOrder.Agreed.choices)
    name = models.CharField(
        max_length=80, blank=True, help_text="Who signed, or was spoken with."
    )
    signature = models.ForeignKey(
        StoredFile, on_delete=models.PROTECT, null=True, blank=True
    )
    shown = models.JSONField(
        default=dict, help_text="What stood above it: coverage, price, marks, terms."
    )
    by = models.ForeignKey(Person, on_delete=models.PROTECT, null=True)
    at = models.DateTimeField()

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"{self.get_about_display()} {self.get_how_display()}"
