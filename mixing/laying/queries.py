"""What the shop set for laying and for its bottles."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from mixing.laying.limits import LayingLimits
from mixing.laying.use_by import USUAL_DAYS
from mixing.models import Kind, LayingSettings
from mixing.recipes.spec import SolutionKind
from shopapp.once import once_a_page


@dataclass(frozen=True, kw_only=True)
class LayingFacts:
    """Limits of the panel's temperature, and the days that a mix keeps, by kind."""

    limits: LayingLimits = LayingLimits()
    days: Mapping[SolutionKind, int] = field(default_factory=lambda: USUAL_DAYS)


@once_a_page
def newest_laying_settings() -> LayingSettings | None:
    """The settings for laying that count now."""
    return LayingSettings.objects.first()


def laying_settings() -> LayingFacts:
    """How warm a panel may be, and how long a bottle keeps."""
    row = newest_laying_settings()
    if row is None:
        return LayingFacts()
    return LayingFacts(
        limits=LayingLimits(
            cold_c=row.cold_c, hot_c=row.hot_c, too_hot_c=row.too_hot_c
        ),
        days={SolutionKind(kind): getattr(row, f"{kind}_days") for kind in Kind.values},
    )
