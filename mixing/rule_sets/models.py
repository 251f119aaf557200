"""Sets of safety rules that the shop enters, in immutable versions."""

from __future__ import annotations

from django.db import models
from django.utils import timezone

from mixing.recipes.models import Immutable
from shopapp.models import Person


class RuleSet(models.Model):
    """A set by name; what it says stands in its versions."""

    name = models.CharField(max_length=60, unique=True)

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name


class RuleSetVersion(Immutable):
    """What a set said from a moment on: rows of `mixing.safety.rule_rows.RuleRow`."""

    rule_set = models.ForeignKey(
        RuleSet, on_delete=models.PROTECT, related_name="versions"
    )
    number = models.PositiveIntegerField()
    rows = models.JSONField(default=list)
    why = models.CharField(max_length=200)
    made_by = models.ForeignKey(Person, on_delete=models.PROTECT, null=True)
    made_at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ["rule_set_id", "-number"]
        constraints = [
            models.UniqueConstraint(
                fields=["rule_set", "number"], name="rule_set_version_once"
            )
        ]

    def __str__(self) -> str:
        return f"{self.rule_set} version {self.number}"
