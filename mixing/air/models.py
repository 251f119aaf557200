"""What the shop says of its air and its wipe, for the vapour of every job."""

from __future__ import annotations

from typing import ClassVar

from django.db import models


class AirSettings(models.Model):
    """One row, or none: then the defaults hold."""

    lock_rank: ClassVar[int] = 71

    height_m = models.FloatField(
        "height above the sea",
        default=0,
    )
    wipe_ml_per_m2 = models.FloatField(
        "wipe before the film",
        default=20,
        help_text="Common practice, no published source.",
    )
    wipe_min_per_panel = models.FloatField(
        "minutes a panel",
        default=1.5,
        help_text="Common practice, no published source.",
    )

    def __str__(self) -> str:
        return "Wipe and height"


def air_settings() -> AirSettings:
    """The shop's row, or the defaults."""
    return AirSettings.objects.first() or AirSettings()
