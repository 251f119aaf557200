"""Issued papers: number, version, facts, bytes. Never rendered again."""

from __future__ import annotations

from django.db import models

from jobs.workorders.models import WorkOrder
from shopapp.models import Person, StoredFile


class Paper(models.Model):
    """A paper: asked for, then issued by the worker once and for all."""

    class Kind(models.TextChoices):
        WORK_ORDER = "work_order", "work order"
        MIXING_SHEET = "mixing_sheet", "mixing sheet"
        VESSEL_LABEL = "vessel_label", "vessel label"
        CARE = "care", "care instructions"
        CUT_LIST = "cut_list", "cut list"
        OFFCUT_LABEL = "offcut_label", "off-cut labels"
        REGISTER = "register", "register of chemicals"
        DAY_SHEET = "day_sheet", "day sheet"
        DESK_SHEET = "desk_sheet", "day sheet for the desk"
        PLAN_WEEK = "plan_week", "week's plan"
        FILM_RECORD = "film_record", "film and warranty record"
        INVOICE = "invoice", "invoice"
        RECEIPT = "receipt", "receipt"
        STATEMENT = "statement", "account statement"
        ESTIMATE = "estimate", "estimate"
        CONFIRMATION = "confirmation", "confirmation of a booking"
        DROP_OFF = "drop_off", "drop-off note"
        MORNING = "morning", "morning's papers"

    class State(models.TextChoices):
        ASKED = "asked", "being made"
        ISSUED = "issued", "issued"

    workorder = models.ForeignKey(
        WorkOrder, on_delete=models.PROTECT, null=True, related_name="papers"
    )
    kind = models.CharField(max_length=14, choices=Kind.choices)
    subject = models.CharField(max_length=60)
    number = models.CharField(max_length=32)
    version = models.PositiveSmallIntegerField()
    size = models.CharField(max_length=16, help_text="A4, Letter or 57x32 (mm).")
    state = models.CharField(max_length=8, choices=State.choices, default=State.ASKED)
    facts = models.JSONField(default=dict)
    replaces = models.ForeignKey(
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    file = models.ForeignKey(
        StoredFile, on_delete=models.PROTECT, null=True, blank=True
    )
    pages = models.PositiveSmallIntegerField(null=True, blank=True)
    asked_by = models.ForeignKey(Person, on_delete=models.PROTECT, null=True)
    asked_at = models.DateTimeField()
    issued_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["number", "version"], name="paper_version_once"
            )
        ]
        indexes = [models.Index(fields=["subject", "kind"], name="paper_subject")]

    def __str__(self) -> str:
        return f"{self.number} version {self.version}"

    @property
    def is_for_the_desk(self) -> bool:
        """Whether it names customers' phones or money: not everybody reads it."""
        return self.kind in (
            *(self.Kind.DESK_SHEET, self.Kind.MORNING, self.Kind.INVOICE),
            *(self.Kind.RECEIPT, self.Kind.STATEMENT),
            *(self.Kind.ESTIMATE, self.Kind.CONFIRMATION),
        )
