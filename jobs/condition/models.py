"""Marks on the paint, looks at the film, defects, the final look."""

from __future__ import annotations

from django.db import models

from jobs.workorders.models import OrderPanel, WorkOrder
from mixing.models import Immutable
from shopapp.models import Person, StoredFile


class Mark(models.Model):
    """Something on the paint before film: at intake, or after the wash."""

    class When(models.TextChoices):
        INTAKE = "intake", "at intake"
        AFTER_WASH = "after_wash", "after the wash"

    workorder = models.ForeignKey(
        WorkOrder, on_delete=models.PROTECT, related_name="marks"
    )
    when = models.CharField(max_length=10, choices=When.choices)
    panel = models.CharField(max_length=24)
    kind = models.CharField(max_length=24, help_text="A code of jobs.marks.")
    size_mm = models.PositiveSmallIntegerField(null=True, blank=True)
    severity = models.PositiveSmallIntegerField(default=1)
    note = models.CharField(max_length=160, blank=True)
    photo = models.ForeignKey(
        StoredFile, on_delete=models.PROTECT, null=True, blank=True
    )
    seen_by = models.ForeignKey(
        Person, on_delete=models.PROTECT, null=True, related_name="+"
    )
    seen_at = models.DateTimeField()
    approved_how = models.CharField(
        max_length=10, choices=WorkOrder.Agreed.choices, blank=True
    )
    approved_at = models.DateTimeField(null=True, blank=True)
    declined_at = models.DateTimeField(null=True, blank=True)
    declined_because = models.CharField(max_length=160, blank=True)

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"{self.kind} on {self.panel}"


class PaintReading(Immutable):
    """Paint thickness of one covered panel, or why it cannot be measured."""

    workorder = models.ForeignKey(
        WorkOrder, on_delete=models.PROTECT, related_name="paint_readings"
    )
    panel = models.CharField(max_length=24)
    thickness_um = models.FloatField(
        null=True,
        blank=True,
    )
    not_measurable = models.CharField(max_length=60, blank=True)
    by = models.ForeignKey(Person, on_delete=models.PROTECT, null=True)
    at = models.DateTimeField()

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"{self.panel} {self.thickness_um} µm"


class PanelLook(Immutable):
    """A laid panel that somebody has looked at under hard light."""

    order_panel = models.ForeignKey(
        OrderPanel, on_delete=models.PROTECT, related_name="looks"
    )
    round = models.PositiveSmallIntegerField()
    by = models.ForeignKey(Person, on_delete=models.PROTECT, null=True)
    at = models.DateTimeField()

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"look at {self.order_panel}"


class Defect(models.Model):
    """Something wrong with the film: put right, redone, accepted or watched."""

    class State(models.TextChoices):
        OPEN = "open", "open"
        TOUCHED_UP = "touched_up", "touched up"
        REDO = "redo", "to be redone"
        REDONE = "redone", "redone"
        ACCEPTED = "accepted", "accepted"
        WATCH = "watch", "watched"
        GONE = "gone", "gone at the recheck"
        NOTHING = "nothing", "nothing found"

    workorder = models.ForeignKey(
        WorkOrder, on_delete=models.PROTECT, related_name="defects"
    )
    order_panel = models.ForeignKey(
        OrderPanel, on_delete=models.PROTECT, related_name="defects"
    )
    kind = models.CharField(max_length=24, help_text="A code of jobs.trace.")
    size_mm = models.FloatField(
        null=True,
        blank=True,
    )
    note = models.CharField(max_length=160, blank=True)
    photo = models.ForeignKey(
        StoredFile, on_delete=models.PROTECT, null=True, blank=True
    )
    outside_standard = models.BooleanField()
    round = models.PositiveSmallIntegerField()
    state = models.CharField(max_length=10, choices=State.choices, default=State.OPEN)
    found_by = models.ForeignKey(
        Person, on_delete=models.PROTECT, null=True, related_name="+"
    )
    found_at = models.DateTimeField()
    settled_by = models.ForeignKey(
        Person, on_delete=models.PROTECT, null=True, related_name="+"
    )
    settled_at = models.DateTimeField(null=True, blank=True)
    settled_note = models.CharField(max_length=160, blank=True)

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"{self.kind} on {self.order_panel}"


class FinalLook(Immutable):
    """The look after the cure time: fine, watch again, or redo."""

    class Outcome(models.TextChoices):
        FINE = "fine", "fine"
        WATCH = "watch", "watch again"
        REDO = "redo", "redo"

    workorder = models.ForeignKey(
        WorkOrder, on_delete=models.PROTECT, related_name="final_looks"
    )
    round = models.PositiveSmallIntegerField()
    outcome = models.CharField(max_length=6, choices=Outcome.choices)
    note = models.CharField(max_length=200, blank=True)
    by = models.ForeignKey(Person, on_delete=models.PROTECT, null=True)
    at = models.DateTimeField()

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"final look: {self.outcome}"
