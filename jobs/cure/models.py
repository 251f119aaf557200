"""How long film settles in this shop, where its maker says nothing."""

from __future__ import annotations

from django.db import models


class CureTable(models.Model):
    """The shop's cure table and the days of care. Its row is made by a migration."""

    small_h = models.FloatField("single panels, hours", default=1)
    partial_h = models.FloatField("partial front, hours", default=2)
    overnight_h = models.FloatField(
        "full front and more: overnight, and at least, hours",
        default=12,
    )
    after_opening_h = models.FloatField(
        "overnight is until so many hours after opening", default=1
    )
    cold_nights = models.BooleanField(
        "the bay falls below 15 °C at night: a day more", default=False
    )
    easy_days = models.PositiveSmallIntegerField("easy on fast roads, days", default=2)
    no_press_days = models.PositiveSmallIntegerField(
        "no pressing or picking, days", default=14
    )
    pockets_days = models.PositiveSmallIntegerField(
        "pockets and haze are watched, days", default=28
    )
    recheck_from_days = models.PositiveSmallIntegerField(
        "recheck from, days after hand-over", default=7
    )
    recheck_until_days = models.PositiveSmallIntegerField(
        "recheck until, days after hand-over", default=14
    )

    def __str__(self) -> str:
        return "cure table"
