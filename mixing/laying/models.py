"""How long mixes keep and how warm a panel may be: each change is a new row."""

from __future__ import annotations

from django.db import models

from mixing.laying.limits import COLD_C, HOT_C, TOO_HOT_C
from mixing.laying.use_by import ALL_IN_ONE_DAYS, GEL_DAYS, SLIP_DAYS, TACK_DAYS
from mixing.recipes.models import Immutable
from shopapp.models import Person


class LayingSettings(Immutable):
    """What the shop set for laying and for its bottles from a moment on."""

    cold_c = models.FloatField(default=COLD_C)
    hot_c = models.FloatField(default=HOT_C)
    too_hot_c = models.FloatField(default=TOO_HOT_C)
    slip_days = models.PositiveSmallIntegerField(default=SLIP_DAYS)
    tack_days = models.PositiveSmallIntegerField(default=TACK_DAYS)
    all_in_one_days = models.PositiveSmallIntegerField(default=ALL_IN_ONE_DAYS)
    gel_days = models.PositiveSmallIntegerField(default=GEL_DAYS)
    made_by = models.ForeignKey(Person, on_delete=models.PROTECT, null=True)
    made_at = models.DateTimeField()

    class Meta:
        ordering = ["-pk"]
        verbose_name = "settings for laying"

    def __str__(self) -> str:
        return f"settings of {self.made_at:%Y-%m-%d}"
