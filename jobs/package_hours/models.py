"""How long a package takes in this shop, as its owner says."""

from __future__ import annotations

from django.db import models

from jobs.bookings.models import choices_of
from jobs.coverage.catalogue import Package


class PackageHours(models.Model):
    """Hours and nights of one package; where a field is empty, the defaults hold."""

    class Half(models.TextChoices):
        MORNING = "morning", "in the morning"
        AFTERNOON = "afternoon", "in the afternoon"

    package = models.CharField(max_length=16, choices=choices_of(Package), unique=True)
    prep_min = models.PositiveSmallIntegerField("prep, minutes", null=True, blank=True)
    laying_min = models.PositiveSmallIntegerField(
        "first panel ready to last laid, minutes; empty: by the panels",
        null=True,
        blank=True,
    )
    helper_min = models.PositiveSmallIntegerField(
        "of which with two people, minutes", null=True, blank=True
    )
    nights = models.PositiveSmallIntegerField(
        "nights in the shop at least", null=True, blank=True
    )
    ready_from = models.CharField(
        "ready on the last day", max_length=10, choices=Half.choices, blank=True
    )

    class Meta:
        ordering = ["pk"]
        verbose_name = verbose_name_plural = "package hours"

    def __str__(self) -> str:
        return str(self.get_package_display())
