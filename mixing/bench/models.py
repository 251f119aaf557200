"""Vessels, one kind for life, and the shape of each kind."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.db.models import Q

from mixing.recipes.models import Kind
from mixing.shelf.models import Material


class KindMark(models.Model):
    """The shape by which a shop tells a kind at a glance, beside word and letter."""

    class Shape(models.TextChoices):
        CIRCLE = "circle", "circle"
        TRIANGLE = "triangle", "triangle"
        SQUARE = "square", "square"
        DIAMOND = "diamond", "diamond"
        HEXAGON = "hexagon", "hexagon"
        CROSS = "cross", "cross"

    kind = models.CharField(max_length=12, choices=Kind.choices, unique=True)
    shape = models.CharField(max_length=10, choices=Shape.choices, unique=True)

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"{self.kind}: {self.shape}"


class Vessel(models.Model):
    """A bottle, sprayer or jug. One kind of solution for life."""

    lock_rank: ClassVar[int] = 20

    class Form(models.TextChoices):
        BOTTLE = "bottle", "spray bottle"
        SPRAYER = "sprayer", "pump sprayer"
        JUG = "jug", "jug"

    class State(models.TextChoices):
        CLEAN = "clean", "clean and empty"
        FILLED = "filled", "filled"
        TO_RINSE = "to_rinse", "to be emptied and rinsed"
        UNKNOWN = "unknown", "holds something unknown"

    code = models.CharField(max_length=8, unique=True)
    kind = models.CharField(max_length=12, choices=Kind.choices)
    form = models.CharField(max_length=8, choices=Form.choices, default=Form.BOTTLE)
    material = models.CharField(
        max_length=10,
        choices=Material.choices,
        blank=True,
        help_text="Empty: taken as plastic, the strictest.",
    )
    approved = models.BooleanField(
        "transport approval or laboratory listing on it", default=False
    )
    capacity_ml = models.FloatField()
    usable_ml = models.FloatField()
    state = models.CharField(max_length=8, choices=State.choices, default=State.CLEAN)
    retired = models.BooleanField(default=False)

    class Meta:
        ordering = ["kind", "code"]
        constraints = [
            models.CheckConstraint(
                condition=Q(usable_ml__lte=models.F("capacity_ml")),
                name="vessel_usable_within_capacity",
            )
        ]

    def __str__(self) -> str:
        return self.code
