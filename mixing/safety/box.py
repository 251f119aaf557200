"""The well-mixed bay in more detail: sealed, mean, the wait for hot tools (pure)."""

from __future__ import annotations

from mixing.safety.air_checks import (
    MEASURE_FLOW,
    MEASURE_SIZE,
    check_box,
)
from mixing.safety.bounds import above_zero, not_negative
from mixing.safety.ventilation import share_kept
from shopapp.figures import formula


@formula("box.sealed_ppm")
def sealed_ppm(*, vapour_m3: float, volume_m3: float) -> float:
    """Vapour in a closed bay when everything released stays in and mixes.

        C = 1e6 * vapour / V

    vapour_m3  volume of the vapour, m3, 0 or more
    volume_m3  volume of the bay, m3, above 0
    Not for:   a pass: near the puddle or the spray the air can be flammable while
               the average is low.
    Source:    mass balance

    >>> round(sealed_ppm(vapour_m3=0.1113, volume_m3=189))
    589
    """
    not_negative(vapour_m3, what="The vapour released", remedy="Enter 0 for none.")
    above_zero(volume_m3, what="The volume of the bay", remedy=MEASURE_SIZE)
    return 1e6 * vapour_m3 / volume_m3


@formula("box.mean_ppm")
def mean_ppm(
    *,
    generation_m3_per_h: float,
    flow_m3_per_h: float,
    volume_m3: float,
    start_ppm: float,
    hours: float,
    loss_per_h: float = 0.0,
) -> float:
    """Mean of evenly mixed air over a time of steady release.

        C_mean = C_start * k + 1e6 * G t / V * (1 - k) / (n t)
        k = (1 - exp(-n t)) / (n t);   the same as C_end + (C_start - C_end) * k

    generation_m3_per_h  vapour released, m3/h, 0 or more
    flow_m3_per_h        effective flow Q' = Q/K, m3/h, above 0
    volume_m3            volume of the bay, m3, above 0
    start_ppm            at the beginning, ppm, 0 or more
    hours                length of the release, h, above 0
    loss_per_h           any further first-order loss, 1/h
    Not for:             what a person breathes who moves in and out of the bay.
    Source:              integral of the mass balance (see concentration_ppm)

    >>> round(mean_ppm(generation_m3_per_h=0.0742, flow_m3_per_h=200, volume_m3=189,
    ...     start_ppm=0, hours=1.5))
    185
    """
    check_box(
        generation_m3_per_h=generation_m3_per_h,
        flow_m3_per_h=flow_m3_per_h,
        volume_m3=volume_m3,
        start_ppm=start_ppm,
        loss_per_h=loss_per_h,
    )
    above_zero(hours, what="The time", remedy="Enter the length of the release.")
    removed = (flow_m3_per_h / volume_m3 + loss_per_h) * hours
    kept = share_kept(removed=removed)
    # Its series where so little is removed that 1 - k has no digits left.
    mean_kept = (
        (1 - kept) / removed
        if removed > 1e-3
        else 1 / 2 - removed / 6 + removed**2 / 24 - removed**3 / 120
    )
    sealed = 1e6 * generation_m3_per_h * hours / volume_m3
    return start_ppm * kept + sealed * mean_kept


@formula("box.bay_volume_m3")
def bay_volume_m3(*, length_m: float, width_m: float, height_m: float) -> float:
    """Volume of a bay from its measured sides.

        V = length * width * height

    length_m, width_m, height_m  inside, m, above 0
    Not for:                     an open hall, where the bay has no walls.
    Source:                      geometry; example in a USAF bioenvironmental course

    >>> round(bay_volume_m3(length_m=9, width_m=6, height_m=3.5), 1)
    189.0
    """
    for side in (length_m, width_m, height_m):
        above_zero(side, what="A side of the bay", remedy=MEASURE_SIZE)
    return length_m * width_m * height_m


@formula("box.heat_wait_min")
def heat_wait_min(*, purge_h: float, flow_m3_per_h: float, volume_m3: float) -> float:
    """Minutes between the last alcohol spray and a hot tool.

        wait = 60 * max(purge, V / Q')

    purge_h        hours until the bay's average is down to the target, h, 0 or more
    flow_m3_per_h  effective flow Q' = Q / K, m3/h, above 0
    volume_m3      bay, m3, above 0

    Never under one effective air change: the bay's average says nothing about the wet
    edge, and an average that was low all along would make the wait nothing at all.
    Not for:       the moment itself: the edge must be seen to be dry.
    Source:        purge by mixing.safety.ventilation.purge_hours; the one air change is
                   our caution, no published value was found.

    >>> round(heat_wait_min(purge_h=0.0, flow_m3_per_h=200, volume_m3=100), 6)
    30.0
    """
    not_negative(purge_h, what="The purge", remedy="Compute it by purge_hours.")
    flow = above_zero(flow_m3_per_h, what="The effective flow", remedy=MEASURE_FLOW)
    volume = above_zero(volume_m3, what="The bay's volume", remedy=MEASURE_SIZE)
    return 60 * max(purge_h, volume / flow)
