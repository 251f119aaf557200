"""How long film settles in this shop, where its maker says nothing."""

from __future__ import annotations

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

HOURS = [MinValueValidator(0), MaxValueValidator(168)]
DAYS = [MinValueValidator(0), MaxValueValidator(90)]


class CureTable(models.Model):
    """The shop's cure table and the days of care. Its row is made by a migration."""

    small_h = models.FloatField("single panels, hours", default=1, validators=HOURS)
    partial_h = models.FloatField("partial front, hours", default=2, validators=HOURS)
    overnight_h = models.FloatField(
        "full front and more: overnight, and at least, hours",
        default=12,
        validators=HOURS,
    )
    after_opening_h = models.FloatField(
        "overnight is until so many hours after opening", default=1, validators=HOURS
    )
    cold_nights = models.BooleanField(
        "the bay falls below 15 °C at night: a day more", default=False
    )
    easy_days = models.PositiveSmallIntegerField(
        "easy on fast roads, days", default=2, validators=DAYS
    )
    no_press_days = models.PositiveSmallIntegerField(
        "no pressing or picking, days", default=14, validators=DAYS
    )
    pockets_days = models.PositiveSmallIntegerField(
        "pockets and haze are watched, days", default=28, validators=DAYS
    )
    recheck_from_days = models.PositiveSmallIntegerField(
        "recheck from, days after hand-over", default=7, validators=DAYS
    )
    recheck_until_days = models.PositiveSmallIntegerField(
        "recheck until, days after hand-over", default=14, validators=DAYS
    )

    def __str__(self) -> str:
        return "cure table"
