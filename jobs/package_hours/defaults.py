"""How long a package takes where the owner has said nothing (pure).

Common practice, no published source.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from jobs.coverage.catalogue import Package
from jobs.opening.hours import AFTERNOON


@dataclass(frozen=True, kw_only=True)
class PackageTimes:
    """Hours and nights of a package.

    prep_min    washing, decontamination and masking, one person
    laying_min  first panel ready to last laid; None: the minutes of its panels
    helper_min  so long of the laying, from its beginning, with a second person
    nights      nights in the shop at least; 0: the same day
    ready_from  the half of the last day: "morning", "afternoon", or "" for either
    """

    prep_min: int
    laying_min: int | None = None
    helper_min: int = 0
    nights: int = 0
    ready_from: str = ""


DEFAULTS: Mapping[Package, PackageTimes] = {
    Package.SINGLE_PANELS: PackageTimes(prep_min=30),
    Package.PARTIAL_FRONT: PackageTimes(prep_min=60),
    Package.FULL_FRONT: PackageTimes(
        prep_min=90, helper_min=60, nights=1, ready_from=AFTERNOON
    ),
    Package.TRACK: PackageTimes(
        prep_min=120, helper_min=60, nights=1, ready_from=AFTERNOON
    ),
    Package.FULL_VEHICLE: PackageTimes(
        prep_min=240, helper_min=240, nights=2, ready_from=AFTERNOON
    ),
}
"""Single panels while the customer waits, a partial front the same day.

Common practice, no published source.
"""
