"""Readings, and what was mixed: batches, pours, fills, stock movements."""

from __future__ import annotations

from django.db import models
from django.db.models import Q

from mixing.bench.models import Vessel
from mixing.recipes.models import Immutable, Kind, RecipeVersion, Substance
from mixing.shelf.models import Dispenser, StockContainer, WaterTest
from shopapp.models import Bay, Person, Place


class Reading(models.Model):
    """Air, humidity and panel in one place at one moment."""

    bay = models.ForeignKey(Bay, on_delete=models.PROTECT, null=True, blank=True)
    place = models.ForeignKey(Place, on_delete=models.PROTECT, null=True, blank=True)
    air_c = models.FloatField()
    rh_pct = models.FloatField()
    panel_c = models.FloatField(
        null=True,
        blank=True,
    )
    taken_at = models.DateTimeField()
    by = models.ForeignKey(Person, on_delete=models.PROTECT, null=True)

    class Meta:
        ordering = ["-taken_at", "-pk"]
        indexes = [models.Index(fields=["taken_at"], name="reading_taken_at")]

    def __str__(self) -> str:
        return f"{self.air_c:g} °C, {self.rh_pct:g} %"


class Batch(models.Model):
    """One mixing of one solution; it fills one or more vessels of that kind."""

    number = models.CharField(max_length=20, unique=True)
    kind = models.CharField(max_length=12, choices=Kind.choices)
    recipe_version = models.ForeignKey(RecipeVersion, on_delete=models.PROTECT)
    reading = models.ForeignKey(Reading, on_delete=models.PROTECT, null=True)
    water = models.ForeignKey(WaterTest, on_delete=models.PROTECT, null=True)
    volume_ml = models.FloatField()
    vv_pct = models.FloatField(default=0)
    vv_low_pct = models.FloatField(default=0)
    vv_high_pct = models.FloatField(default=0)
    soap_ml = models.FloatField(default=0)
    facts = models.JSONField(
        default=dict, help_text="The part of the mixing sheet that it was mixed by."
    )
    mixed_by = models.ForeignKey(Person, on_delete=models.PROTECT, null=True)
    mixed_at = models.DateTimeField()
    use_by = models.DateTimeField()
    kept_because = models.CharField(
        max_length=120, blank=True, help_text="Why it was kept outside its tolerance."
    )

    class Meta:
        ordering = ["-mixed_at", "-pk"]
        indexes = [models.Index(fields=["mixed_at"], name="batch_mixed_at")]

    def __str__(self) -> str:
        return self.number


class Pour(Immutable):
    """One amount that went into a batch, planned and poured."""

    batch = models.ForeignKey(Batch, on_delete=models.PROTECT, related_name="pours")
    step = models.PositiveSmallIntegerField()
    substance = models.CharField(max_length=10, choices=Substance.choices)
    container = models.ForeignKey(StockContainer, on_delete=models.PROTECT, null=True)
    dispenser = models.ForeignKey(Dispenser, on_delete=models.PROTECT, null=True)
    planned_ml = models.FloatField(help_text="For one vessel.")
    poured_ml = models.FloatField(help_text="Into each vessel.")
    vessels = models.PositiveSmallIntegerField(
        default=1, help_text="How many vessels it was poured into alike."
    )

    class Meta:
        ordering = ["batch_id", "step"]

    def __str__(self) -> str:
        return f"{self.substance} {self.poured_ml:g} mL"


class Fill(models.Model):
    """A vessel filled from a batch, until it is emptied and rinsed.

    A vessel that was filled up over what was left holds a fill of each batch. While
    a fill is open, `left_ml` is what was left of it when the vessel was filled up.
    """

    batch = models.ForeignKey(Batch, on_delete=models.PROTECT, related_name="fills")
    vessel = models.ForeignKey(Vessel, on_delete=models.PROTECT, related_name="fills")
    volume_ml = models.FloatField()
    emptied_at = models.DateTimeField(null=True, blank=True)
    left_ml = models.FloatField(null=True, blank=True)

    class Meta:
        ordering = ["batch_id", "vessel_id"]
        constraints = [
            models.UniqueConstraint(
                fields=["vessel", "batch"],
                condition=Q(emptied_at__isnull=True),
                name="vessel_holds_a_batch_once",
            )
        ]

    def __str__(self) -> str:
        return f"{self.vessel} from {self.batch}"

    @property
    def holds_ml(self) -> float:
        """What the vessel held of it when it was last filled or filled up."""
        return self.volume_ml if self.left_ml is None else self.left_ml


class StockMovement(Immutable):
    """A change of what a container holds, with its reason."""

    class What(models.TextChoices):
        RECEIVED = "received", "received"
        POURED = "poured", "poured"
        COUNTED = "counted", "counted"
        SPILT = "spilt", "spilt"
        DISCARDED = "discarded", "discarded"

    container = models.ForeignKey(
        StockContainer, on_delete=models.PROTECT, related_name="movements"
    )
    what = models.CharField(max_length=10, choices=What.choices)
    change_ml = models.FloatField()
    batch = models.ForeignKey(Batch, on_delete=models.PROTECT, null=True)
    reason = models.CharField(max_length=120, blank=True)
    by = models.ForeignKey(Person, on_delete=models.PROTECT, null=True)
    at = models.DateTimeField()

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"{self.what} {self.change_ml:+g} mL"

    @property
    def out_ml(self) -> float:
        """What went out."""
        return -self.change_ml
