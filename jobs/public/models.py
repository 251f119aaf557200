"""What a customer writes to the shop through the secret link."""

from __future__ import annotations

from django.db import models
from django.db.models import Q

from jobs.returns.models import ReturnVisit
from jobs.workorders.models import WorkOrder
from shopapp.models import Person, StoredFile


class CustomerReport(models.Model):
    """Something looks wrong: the customer's words and photos, until it is seen to."""

    workorder = models.ForeignKey(
        WorkOrder, on_delete=models.PROTECT, related_name="customer_reports"
    )
    words = models.TextField(max_length=1000)
    photos = models.ManyToManyField(StoredFile, blank=True, related_name="+")
    at = models.DateTimeField()
    visit = models.ForeignKey(
        ReturnVisit,
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="reports",
        help_text="The return visit that answers it.",
    )
    settled_at = models.DateTimeField(null=True, blank=True)
    settled_by = models.ForeignKey(
        Person, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )

    class Meta:
        ordering = ["pk"]
        indexes = [
            models.Index(
                fields=["at"],
                condition=Q(settled_at__isnull=True),
                name="report_waits",
            )
        ]

    def __str__(self) -> str:
        return f"report {self.pk}"
