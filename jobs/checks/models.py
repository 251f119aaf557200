"""Checklists in versions, and the answers of an order."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.utils import timezone

from jobs.workorders.models import WorkOrder
from mixing.models import Immutable
from shopapp.models import Person, StoredFile


class Checklist(models.Model):
    """A list of items for one stage; what it says stands in its versions."""

    lock_rank: ClassVar[int] = 80

    code = models.CharField(max_length=20, unique=True)
    name = models.CharField(max_length=60)
    in_use = models.BooleanField(default=True)

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return self.name


class ChecklistVersion(Immutable):
    """Items from a moment on: code, text, type, required, limits, unit."""

    checklist = models.ForeignKey(
        Checklist, on_delete=models.PROTECT, related_name="versions"
    )
    number = models.PositiveIntegerField()
    items = models.JSONField()
    why = models.CharField(max_length=200)
    made_by = models.ForeignKey(Person, on_delete=models.PROTECT, null=True)
    made_at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ["checklist_id", "-number"]
        constraints = [
            models.UniqueConstraint(
                fields=["checklist", "number"], name="checklist_version_once"
            )
        ]

    def __str__(self) -> str:
        return f"{self.checklist} version {self.number}"


class OrderChecklist(models.Model):
    """The version an order is worked by; a new version leaves it alone."""

    workorder = models.ForeignKey(
        WorkOrder, on_delete=models.PROTECT, related_name="checklists"
    )
    version = models.ForeignKey(ChecklistVersion, on_delete=models.PROTECT)
    round = models.PositiveSmallIntegerField(default=1)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["workorder", "version", "round"], name="order_checklist_once"
            )
        ]

    def __str__(self) -> str:
        return str(self.version)


class ChecklistAnswer(models.Model):
    """What was ticked, measured, written or photographed for one item."""

    order_checklist = models.ForeignKey(
        OrderChecklist, on_delete=models.PROTECT, related_name="answers"
    )
    item = models.CharField(max_length=64)
    ticked = models.BooleanField(null=True, blank=True)
    number = models.FloatField(null=True, blank=True)
    text = models.TextField(blank=True)
    photo = models.ForeignKey(
        StoredFile, on_delete=models.PROTECT, null=True, blank=True
    )
    by = models.ForeignKey(Person, on_delete=models.PROTECT, null=True)
    at = models.DateTimeField()

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["order_checklist", "item"], name="checklist_answer_once"
            )
        ]

    def __str__(self) -> str:
        return self.item


class ChecklistPhoto(Immutable):
    """One photo of an item: as many as were handed over, at once or later."""

    order_checklist = models.ForeignKey(
        OrderChecklist, on_delete=models.PROTECT, related_name="photos"
    )
    item = models.CharField(max_length=64)
    photo = models.ForeignKey(StoredFile, on_delete=models.PROTECT)
    by = models.ForeignKey(Person, on_delete=models.PROTECT, null=True)
    at = models.DateTimeField()

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["order_checklist", "item", "photo"], name="checklist_photo_once"
            )
        ]

    def __str__(self) -> str:
        return self.item
