"""Sizes that the shop has measured, and what it adds to a panel for its blank."""

from __future__ import annotations

from django.db import models
from django.utils import timezone

from mixing.models import Immutable
from shopapp.models import Person


class MeasuredPanel(models.Model):
    """A panel that the shop has measured: it wins over every template."""

    make = models.CharField(max_length=40, blank=True)
    model = models.CharField(max_length=60)
    body = models.CharField(max_length=12)
    year_from = models.PositiveSmallIntegerField(null=True, blank=True)
    year_to = models.PositiveSmallIntegerField(null=True, blank=True)
    panel = models.CharField(max_length=24)
    length_mm = models.PositiveIntegerField()
    width_mm = models.PositiveIntegerField()
    measured_by = models.ForeignKey(Person, on_delete=models.PROTECT, null=True)
    measured_at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ["-measured_at", "-pk"]
        indexes = [
            models.Index(fields=["model", "body", "panel"], name="measured_panel_of")
        ]

    def __str__(self) -> str:
        return f"{self.panel} {self.length_mm} x {self.width_mm} mm"


class PanelAllowance(Immutable):
    """Edge wrap and handling margin set for a kind of panel and a method.

    The newest row of a kind and method counts; an empty side leaves the wider answer.
    """

    kind = models.CharField(max_length=24, blank=True, help_text="Empty: every panel.")
    method = models.CharField(max_length=12)
    wrap_length_mm = models.FloatField(null=True)
    wrap_width_mm = models.FloatField(null=True)
    hold_length_mm = models.FloatField(null=True)
    hold_width_mm = models.FloatField(null=True)
    set_by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    set_at = models.DateTimeField()

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"{self.kind or 'every panel'}, {self.method}"
