"""How the shop mixes: each change is a new row, the newest one counts."""

from __future__ import annotations

from django.db import models

from mixing.recipes.models import Immutable
from mixing.shelf.models import Dispenser
from shopapp.models import Person


class BenchSettings(Immutable):
    """What the shop set for its bench from a moment on."""

    class FillMode(models.TextChoices):
        MEASURED = "measured", "measure the water"
        MARK = "mark", "fill up to the mark"

    fill_mode = models.CharField(
        max_length=8, choices=FillMode.choices, default=FillMode.MEASURED
    )
    water_with = models.ForeignKey(
        Dispenser, on_delete=models.PROTECT, null=True, related_name="+"
    )
    alcohol_with = models.ForeignKey(
        Dispenser, on_delete=models.PROTECT, null=True, related_name="+"
    )
    soap_with = models.ForeignKey(
        Dispenser, on_delete=models.PROTECT, null=True, related_name="+"
    )
    gel_with = models.ForeignKey(
        Dispenser, on_delete=models.PROTECT, null=True, related_name="+"
    )
    patch_min = models.FloatField(
        null=True,
        help_text="How long the shop's own test patch stayed workable.",
    )
    patch_panel_c = models.FloatField(null=True)
    patch_air_c = models.FloatField(null=True)
    patch_rh_pct = models.FloatField(null=True)
    made_by = models.ForeignKey(Person, on_delete=models.PROTECT, null=True)
    made_at = models.DateTimeField()

    class Meta:
        ordering = ["-pk"]
        verbose_name = "settings of the bench"

    def __str__(self) -> str:
        return f"settings of {self.made_at:%Y-%m-%d}"
