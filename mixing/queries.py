"""Reads of the bottle's path that pages and the car's path share."""

from __future__ import annotations

from datetime import datetime

from mixing.climate.air import dew_point_c
from mixing.models import Batch, Kind, Reading, Recipe


def dew_point_of(reading: Reading) -> float:
    """Dew point of a reading, °C."""
    return dew_point_c(air_c=reading.air_c, rh_pct=reading.rh_pct)


def kinds_in_use() -> list[str]:
    """The solutions this shop mixes for a job, in the order they are mixed.

    Gel is drawn ready-made and only where the sheet advises it.
    """
    kinds = set(
        Recipe.objects.filter(in_use=True, versions__isnull=False).values_list(
            "kind", flat=True
        )
    )
    return [kind for kind in Kind.values if kind in kinds and kind != Kind.GEL]


def is_fresh(batch: Batch, *, at: datetime) -> bool:
    """Whether a batch may still be used."""
    return at < batch.use_by
