"""Flash points that were measured of a mix: rows that stay, withdrawn by a row."""

from __future__ import annotations

from django.db import models
from django.utils import timezone

from mixing.recipes.models import Immutable, RecipeVersion
from shopapp.models import Person


class FlashPoint(Immutable):
    """What a test or a data sheet says of one mix: a recipe version at a strength."""

    class Ground(models.TextChoices):
        MEASURED = "measured", "a test of this mix"
        DATA_SHEET = "data sheet", "a data sheet of this mix"

    class Cup(models.TextChoices):
        CLOSED = "closed", "closed cup"
        OPEN = "open", "open cup"

    recipe_version = models.ForeignKey(
        RecipeVersion, on_delete=models.PROTECT, related_name="flash_points"
    )
    vv_pct = models.FloatField(
        "strength of the mix tested",
    )
    flash_point_c = models.FloatField()
    boiling_point_c = models.FloatField(null=True)
    cup = models.CharField(max_length=6, choices=Cup.choices)
    ground = models.CharField(max_length=10, choices=Ground.choices)
    category = models.PositiveSmallIntegerField(
        null=True, help_text="As the report names it; 0: not classified."
    )
    measured_by = models.CharField(max_length=60)
    measured_on = models.DateField()
    report = models.ForeignKey(
        "shopapp.StoredFile", on_delete=models.PROTECT, null=True
    )
    replaces = models.OneToOneField(
        "self", on_delete=models.PROTECT, null=True, related_name="replaced_by"
    )
    entered_by = models.ForeignKey(Person, on_delete=models.PROTECT, null=True)
    entered_at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ["-entered_at", "-pk"]

    def __str__(self) -> str:
        return f"{self.flash_point_c:g} °C at {self.vv_pct:g} % v/v"


class FlashPointWithdrawal(Immutable):
    """From here on a measurement is not gone by any more, and why."""

    flash_point = models.OneToOneField(
        FlashPoint, on_delete=models.PROTECT, related_name="withdrawal"
    )
    reason = models.CharField(max_length=200)
    by = models.ForeignKey(Person, on_delete=models.PROTECT, null=True)
    at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return self.reason
