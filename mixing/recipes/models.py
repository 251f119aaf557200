"""Kinds of solution, and recipes in immutable versions."""

from __future__ import annotations

from django.db import models
from django.utils import timezone

from shopapp.models import Person


class Kind(models.TextChoices):
    """The four solutions of the trade."""

    SLIP = "slip", "slip"
    TACK = "tack", "tack"
    ALL_IN_ONE = "all_in_one", "all-in-one"
    GEL = "gel", "gel"


class Substance(models.TextChoices):
    """What stock containers hold."""

    ALCOHOL = "alcohol", "isopropyl alcohol"
    SOAP = "soap", "baby shampoo"
    WATER = "water", "water"
    GEL = "gel", "gel"
    WIPE = "wipe", "panel wipe"
    REMOVER = "remover", "tar and adhesive remover"


class Immutable(models.Model):
    """Rows that are never changed once written."""

    class Meta:
        abstract = True

    def save(self, *args: object, **kwargs: object) -> None:
        """Insert; refuse to update."""
        if self.pk and type(self)._default_manager.filter(pk=self.pk).exists():
            raise RuntimeError(f"{self._meta.verbose_name} rows are never changed")
        super().save(*args, **kwargs)  # type: ignore[arg-type]


class Recipe(models.Model):
    """A solution the shop mixes; what it says stands in its versions."""

    kind = models.CharField(max_length=12, choices=Kind.choices)
    name = models.CharField(max_length=60, unique=True)
    in_use = models.BooleanField(default=True)

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return self.name


class RecipeVersion(Immutable):
    """What a recipe said from a moment on. `spec` is a `RecipeSpec`."""

    recipe = models.ForeignKey(
        Recipe, on_delete=models.PROTECT, related_name="versions"
    )
    number = models.PositiveIntegerField()
    spec = models.JSONField()
    why = models.CharField(max_length=200)
    made_by = models.ForeignKey(Person, on_delete=models.PROTECT, null=True)
    made_at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ["recipe_id", "-number"]
        constraints = [
            models.UniqueConstraint(
                fields=["recipe", "number"], name="recipe_version_once"
            )
        ]

    def __str__(self) -> str:
        return f"{self.recipe} version {self.number}"
