"""The shelf: products, containers, dispensers, the water."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.db.models import Q

from mixing.recipes.models import Substance
from shopapp.models import Person


class Material(models.TextChoices):
    """As the size tables tell containers apart."""

    PLASTIC = "plastic", "plastic"
    GLASS = "glass", "glass"
    METAL = "metal", "metal"
    SAFETY_CAN = "safety_can", "safety can"
    DRUM = "drum", "metal drum"


class Basis(models.TextChoices):
    """What a strength in percent counts."""

    VV = "vv", "% by volume"
    WW = "ww", "% by weight"


class Dispenser(models.Model):
    """What amounts are read from: syringe, jug, pump, calibrated dropper."""

    class Form(models.TextChoices):
        SYRINGE = "syringe", "syringe"
        JUG = "jug", "measuring jug"
        PUMP = "pump", "pump"
        DROPPER = "dropper", "dropper"

    name = models.CharField(max_length=60, unique=True)
    form = models.CharField(max_length=10, choices=Form.choices)
    graduation_ml = models.FloatField()
    error_ml = models.FloatField(default=0)
    capacity_ml = models.FloatField()
    drop_ml = models.FloatField(
        null=True,
        blank=True,
        help_text="Volume of one drop, weighed or counted by the shop.",
    )
    drop_spread_ml = models.FloatField(null=True, blank=True)
    in_use = models.BooleanField(default=True)

    class Meta:
        ordering = ["capacity_ml"]

    def __str__(self) -> str:
        return self.name


class Chemical(models.Model):
    """A product as its data sheet describes it."""

    name = models.CharField(max_length=80, unique=True)
    substance = models.CharField(max_length=10, choices=Substance.choices)
    strength_pct = models.FloatField(null=True, blank=True)
    strength_basis = models.CharField(max_length=2, choices=Basis.choices, blank=True)
    flash_point_c = models.FloatField(null=True, blank=True)
    boiling_point_c = models.FloatField(null=True, blank=True)
    density_g_per_ml = models.FloatField(null=True, blank=True)
    volatile_pct = models.FloatField(
        "share that evaporates, % by volume", null=True, blank=True
    )
    molar_mass_g_per_mol = models.FloatField(null=True, blank=True)
    lel_pct = models.FloatField("lower explosive limit", null=True, blank=True)
    limit_ppm = models.FloatField("8-hour limit", null=True, blank=True)
    hazard_codes = models.CharField(
        max_length=120, blank=True, help_text="H codes of the data sheet, with commas."
    )
    sheet_dated = models.DateField("data sheet dated", null=True, blank=True)
    sheet_file = models.ForeignKey(
        "shopapp.StoredFile", on_delete=models.PROTECT, null=True, blank=True
    )

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name


class StorageSpot(models.Model):
    """Where containers stand: a cabinet, a shelf, a store room; and its fire area."""

    class Form(models.TextChoices):
        CABINET = "cabinet", "flammables cabinet"
        SHELF = "shelf", "open shelf"
        ROOM = "room", "inside storage room"

    name = models.CharField(max_length=60, unique=True)
    form = models.CharField(max_length=8, choices=Form.choices)
    fire_area = models.CharField(max_length=60, blank=True)
    allowed_l = models.FloatField(
        null=True, blank=True, help_text="What the fire official allows in a room."
    )

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name


class StockContainer(models.Model):
    """An opened or unopened container of a chemical."""

    lock_rank: ClassVar[int] = 25

    Material = Material
    chemical = models.ForeignKey(Chemical, on_delete=models.PROTECT)
    code = models.CharField(max_length=12, unique=True)
    lot = models.CharField(max_length=40, blank=True)
    strength_pct = models.FloatField(null=True, blank=True)
    strength_basis = models.CharField(max_length=2, choices=Basis.choices, blank=True)
    capacity_ml = models.FloatField()
    left_ml = models.FloatField()
    opened_on = models.DateField(null=True, blank=True)
    expires_on = models.DateField(null=True, blank=True)
    material = models.CharField(max_length=10, choices=Material.choices, blank=True)
    approved = models.BooleanField(null=True, blank=True)
    metal_spoils = models.BooleanField(
        "metal would spoil it, or be eaten by it", default=False
    )
    spot = models.ForeignKey(
        StorageSpot, on_delete=models.PROTECT, null=True, blank=True
    )
    retired_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["opened_on", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(left_ml__gte=0), name="container_not_below_zero"
            )
        ]
        indexes = [
            models.Index(
                fields=["opened_on"],
                condition=Q(retired_at=None),
                name="container_in_use",
            )
        ]

    def __str__(self) -> str:
        return self.code


class WaterTest(models.Model):
    """What is known of the water that solutions are mixed with."""

    class Source(models.TextChoices):
        TAP = "tap", "tap"
        FILTERED = "filtered", "filtered"
        REVERSE_OSMOSIS = "ro", "reverse osmosis"
        DEIONISED = "di", "deionised"
        DISTILLED = "distilled", "distilled"

    source = models.CharField(max_length=10, choices=Source.choices)
    tds_mg_per_l = models.FloatField(
        null=True,
        blank=True,
    )
    hardness_mg_per_l = models.FloatField(
        null=True,
        blank=True,
    )
    tested_on = models.DateField()
    by = models.ForeignKey(Person, on_delete=models.PROTECT, null=True)

    class Meta:
        ordering = ["-tested_on", "-pk"]

    def __str__(self) -> str:
        return f"{self.get_source_display()} water, {self.tested_on}"
