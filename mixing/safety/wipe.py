"""What one wipe of a car uses and how long it takes, by the shop's habit (pure)."""

from __future__ import annotations

from mixing.safety.bounds import between, not_negative
from shopapp.figures import Figure, computed, formula

LEAST_MIN = 1.0


@formula("wipe.wipe_ml")
def wipe_ml(*, area_m2: float, ml_per_m2: float) -> float:
    """What one wipe of the panels before the film uses.

        V = area * mL per m2

    area_m2    film area of the panels, m2, 0 or more
    ml_per_m2  a setting of the shop, mL/m2, 1 to 500
    Not for:   cleaning off wax or old adhesive, which takes far more.
    Source:    geometry; 20 mL/m2: common practice, no published source

    >>> wipe_ml(area_m2=4.5, ml_per_m2=20)
    90.0
    """
    not_negative(area_m2, what="The area", remedy="Choose the panels.")
    between(
        ml_per_m2,
        low=1,
        high=500,
        what="The wipe",
        unit="mL/m²",
        remedy="Weigh the bottle before and after one car.",
    )
    return area_m2 * ml_per_m2


@formula("wipe.wipe_min")
def wipe_min(*, panels: float, min_per_panel: float) -> float:
    """How long one wipe of the panels takes: its vapour comes within these minutes.

        t = panels * minutes per panel, at least 1 minute

    panels         on the car, 0 or more
    min_per_panel  a setting of the shop, min, 0.1 to 60
    Not for:       the laying time, over which the solutions are sprayed.
    Source:        1.5 min a panel: common practice, no published source

    >>> wipe_min(panels=8, min_per_panel=1.5)
    12.0
    """
    not_negative(panels, what="The number of panels", remedy="Choose the panels.")
    between(
        min_per_panel,
        low=0.1,
        high=60,
        what="The minutes of a panel",
        unit="min",
        remedy="Time the wipe of one car.",
    )
    return min(max(panels * min_per_panel, LEAST_MIN), 480.0)


def wipe_figures(
    *, area_m2: float, panels: int, ml_per_m2: float, min_per_panel: float
) -> tuple[Figure, Figure]:
    """Amount and minutes of one wipe, as figures.

        wipe_ml and wipe_min

    area_m2, panels           of the car
    ml_per_m2, min_per_panel  settings of the shop
    Not for:                  what somebody recorded.
    Source:                   see wipe_ml and wipe_min

    >>> [figure.value for figure in wipe_figures(area_m2=4.5, panels=8, ml_per_m2=20,
    ...     min_per_panel=1.5)]
    [90.0, 12.0]
    """
    return (
        computed(wipe_ml, "ml", area_m2=area_m2, ml_per_m2=ml_per_m2),
        computed(wipe_min, "min", panels=panels, min_per_panel=min_per_panel),
    )
