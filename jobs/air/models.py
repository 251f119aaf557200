"""What is recorded for safety on an order: prep chemicals, a look round the bay."""

from __future__ import annotations

from django.db import models
from django.db.models import Q

from jobs.workorders.models import WorkOrder
from mixing.models import Chemical, Immutable
from shopapp.models import Bay, Person


class PrepUses(models.QuerySet["OrderPrepUse"]):
    """Entries of prep chemicals."""

    def standing(self) -> PrepUses:
        """Those that nobody took back."""
        return self.filter(undoes=None, undone_by=None)


class OrderPrepUse(Immutable):
    """A prep chemical used on the order; without a chemical: none was used.

    no_remover  without a chemical: no remover for the old film, the wipe stands
    undoes      the entry that this one takes back
    """

    workorder = models.ForeignKey(
        WorkOrder, on_delete=models.PROTECT, related_name="prep_uses"
    )
    chemical = models.ForeignKey(Chemical, on_delete=models.PROTECT, null=True)
    litres = models.FloatField(default=0)
    no_remover = models.BooleanField(default=False)
    undoes = models.OneToOneField(
        "self", on_delete=models.PROTECT, null=True, related_name="undone_by"
    )
    by = models.ForeignKey(Person, on_delete=models.PROTECT, null=True)
    at = models.DateTimeField()

    objects = PrepUses.as_manager()

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(chemical__isnull=False) | Q(litres=0),
                name="prep_use_none_is_nothing",
            )
        ]

    def __str__(self) -> str:
        return f"{self.chemical or 'none'} {self.litres:g} L"

    @property
    def volume_ml(self) -> float:
        """As a person says it."""
        return self.litres * 1000


class OrderAir(models.Model):
    """Air and fire of an order as last reckoned, for pages that show many orders."""

    workorder = models.OneToOneField(
        WorkOrder, on_delete=models.PROTECT, related_name="air"
    )
    facts = models.JSONField(help_text="As jobs.queries.fire.air_facts has it.")
    made_at = models.DateTimeField()

    def __str__(self) -> str:
        return f"Air of {self.workorder}"


class HeatCheck(Immutable):
    """Looked round a bay before hot tools: once a session, again after alcohol."""

    bay = models.ForeignKey(Bay, on_delete=models.PROTECT, related_name="heat_checks")
    workorder = models.ForeignKey(
        WorkOrder, on_delete=models.PROTECT, related_name="heat_checks"
    )
    by = models.ForeignKey(Person, on_delete=models.PROTECT, null=True)
    at = models.DateTimeField()

    class Meta:
        ordering = ["pk"]
        indexes = [models.Index(fields=["bay", "at"], name="heat_check_of_bay")]

    def __str__(self) -> str:
        return f"{self.bay} {self.at:%Y-%m-%d %H:%M}"
